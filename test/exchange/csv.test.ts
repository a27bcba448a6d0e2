import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, test } from 'vitest';
import { fromNumberCell } from '../../agent/exchange/cells.ts';
import { CsvReader } from '../../agent/exchange/csv.ts';
import { instantReader, parseInstant } from '../../agent/exchange/instants.ts';

function rowsOf(pieces: readonly string[]): { cells: readonly string[]; line: number }[] {
  const reader = new CsvReader();
  const rows = [];
  for (const piece of [...pieces, null]) {
    if (piece !== null) reader.add(piece);
    for (let row = reader.next(piece === null); row !== null; row = reader.next(piece === null)) rows.push(row);
  }
  return rows;
}

const quoted = (cell: string): string => `"${cell.replaceAll('"', '""')}"`;
const anyCell = fc
  .array(fc.constantFrom('a', '7', ' ', ',', '"', '\r\n', '\n', 'é'), { maxLength: 4 })
  .map(parts => parts.join(''));
const anyRows = fc.array(fc.array(fc.tuple(anyCell, fc.boolean()), { minLength: 2, maxLength: 3 }), { minLength: 1 });

describe('rows of a CSV file', () => {
  test('are the cells that were written, whatever is in them, cut anywhere, and what another parser reads', () => {
    fc.assert(
      fc.property(anyRows, fc.constantFrom('\n', '\r\n'), fc.integer({ min: 1, max: 9 }), (table, end, size) => {
        const written = table.map(row =>
          row.map(([cell, always]) => (always || /[",\r\n]/.test(cell) ? quoted(cell) : cell)).join(','),
        );
        const text = written.join(end);
        const pieces = Array.from({ length: Math.ceil(text.length / size) }, (_, i) =>
          text.slice(i * size, (i + 1) * size),
        );
        const cells = table.map(row => row.map(([cell]) => cell));
        expect(rowsOf(pieces).map(row => row.cells)).toEqual(cells);
        expect(rowsOf([text, end]).map(row => row.cells)).toEqual(cells);
        expect(Papa.parse<string[]>(text, { newline: end, delimiter: ',' }).data).toEqual(cells);
      }),
    );
  });

  test('end at line feeds, at carriage returns or at both, and empty lines are none', () => {
    for (const end of ['\n', '\r', '\r\n'])
      for (const size of [1, 2, 100]) {
        const text = `a,b${end}${end}1,2${end}"3${end}",4${end}${end}5,6`;
        const pieces = text.match(new RegExp(`[^]{1,${size}}`, 'g'))!;
        expect(rowsOf(pieces)).toEqual([
          { cells: ['a', 'b'], line: 1 },
          { cells: ['1', '2'], line: 3 },
          { cells: [`3${end}`, '4'], line: 5 },
          { cells: ['5', '6'], line: 7 },
        ]);
      }
  });

  test.each([
    ['a,b\n1,"2', /^line 2: .*not closed/],
    ['a,b\n1,"2"x\n', /^line 2: .*follows a closing quote/],
    ['a,b\n\n1,2"\n', /^line 3: .*begins with none/],
    [`a,b\n1,${'2'.repeat(70_000)}\n`, /^line 2: .*too long/],
    [`a,b\n1,"${'2\n'.repeat(40_000)}`, /^line 2: .*does not end|not closed/],
    [`a,b\n1,${'2'.repeat(70_000)}`, /^line 2: /],
  ])('that are none are refused with their line (%#)', (text, message) => {
    const wrong = { code: 'IMPORT_ROW', message: expect.stringMatching(message) };
    expect(() => rowsOf([text])).toThrow(expect.objectContaining(wrong));
    expect(() => rowsOf([text.slice(0, 5), text.slice(5)])).toThrow(expect.objectContaining(wrong));
  });
});

describe('cells of numbers and instants', () => {
  test('a plain number is the double that is nearest to it', () => {
    const digits = fc
      .array(fc.constantFrom(...'0123456789.'), { minLength: 1, maxLength: 18 })
      .map(all => all.join(''));
    fc.assert(
      fc.property(digits, text => {
        const isNumber = /^(\d+\.?\d*|\.\d+)$/.test(text);
        expect(fromNumberCell(text)).toBe(isNumber ? Number(text) : null);
      }),
      { numRuns: 2000 },
    );
  });

  test('an instant is the same read alone and behind others', () => {
    const text = fc
      .tuple(
        fc.constantFrom(
          '2026-06-03T11:15',
          '2026-06-03 11:15',
          '2026-06-03T11:16',
          '2026-04-31T11:15',
          '1969-12-31T23:59',
        ),
        fc.constantFrom('', ':00', ':07', ':59', ':60', ':7', ':07.5', ':07.250', ':07,250', ':07.2504'),
        fc.constantFrom('Z', 'z', '+02:00', '+0200', '-05', '', '+00:00'),
      )
      .map(parts => parts.join(''));
    fc.assert(
      fc.property(
        fc.array(fc.oneof(text, fc.constantFrom('1780478100500', '-5', 'noon')), { maxLength: 30 }),
        texts => {
          const read = instantReader();
          expect(texts.map(read)).toEqual(texts.map(parseInstant));
        },
      ),
    );
  });
});
