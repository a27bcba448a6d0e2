import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, test } from 'vitest';
import { fromTextCell, numberCell, textCell } from '../../agent/exchange/cells.ts';

/** What spreadsheets take for a formula, with what some of them skip in front. */
const FORMULA = /^[\s\p{Cc}\p{Cf}]*[=+\-@\uff1d\uff0b\uff0d\uff20]/u;
const SEPARATORS = [',', ';', '\t'];

const cellsOf = (line: string, delimiter: string) => Papa.parse<string[]>(line, { delimiter }).data.flat();

/** Texts rich in what matters here. */
const anyText = fc.oneof(
  fc.string({ unit: 'binary' }),
  fc
    .array(
      fc.constantFrom(
        '=',
        '+',
        '-',
        '@',
        '\t',
        '\r',
        '\n',
        '\0',
        ';',
        ',',
        '"',
        "'",
        ' ',
        '\u00a0',
        '\ufeff',
        '\uff1d',
        'a',
        '1',
      ),
    )
    .map(parts => parts.join('')),
);

describe('a cell of text', () => {
  test.each([
    ['=1+1', "'=1+1"],
    ['+cmd', "'+cmd"],
    ['-2', "'-2"],
    ['@x', "'@x"],
    ['\tx', `"'\tx"`],
    ['\r=x', `"'\r'=x"`],
    ['\0=x', "'\0=x"],
    [' =x', "' =x"],
    ['\uff1dx', "'\uff1dx"],
    ["'x", "''x"],
    ['a;=1+1', `"a;'=1+1"`],
    ['said "yes"', '"said ""yes"""'],
    ['3 - 4 = -1', '3 - 4 = -1'],
    ['a;b', '"a;b"'],
    ['', ''],
  ])('%j is written %j', (text, cell) => {
    expect(textCell(text)).toBe(cell);
  });

  test('is no formula to anybody, whatever separator a program splits at', () => {
    fc.assert(
      fc.property(anyText, fc.constantFrom(...SEPARATORS), (text, separator) => {
        const cells = cellsOf(`1,${textCell(text)},2`, separator);
        expect(cells.filter(cell => FORMULA.test(cell) || /^[\t\r]/.test(cell))).toEqual([]);
      }),
      { numRuns: 500 },
    );
  });

  test('is read back as it was, by a parser of RFC 4180', () => {
    fc.assert(
      fc.property(anyText, text => {
        const [row] = Papa.parse<string[]>(`1,${textCell(text)},2`, { delimiter: ',', newline: '\r\n' }).data;
        expect([row?.length, fromTextCell(row?.[1] ?? '?')]).toEqual([3, text]);
      }),
      { numRuns: 500 },
    );
  });
});

test('a number stays a number, also below zero', () => {
  expect([-12.5, -0, 0.1, 1e21, null, undefined].map(numberCell)).toEqual(['-12.5', '0', '0.1', '1e+21', '', '']);
});
