import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, test } from 'vitest';
import { WattkeepError } from '#kit';
import { parseRecording, readRecording } from '../../agent/exchange/read-recording.ts';
import { recordingColumns, recordingCsv } from '../../agent/exchange/write-recording.ts';
import { anyReadings } from '../support/any-readings.ts';

const identity = { station: 'shed', session: 'import-1' };
const HEADER = 'time,inputPowerW,outputPowerW,stateOfChargePct';

function failure(text: string): { code: string; message: string; fix: string } {
  try {
    parseRecording(text, identity);
  } catch (error) {
    if (error instanceof WattkeepError) return { code: error.code, message: error.message, fix: error.fix };
    throw error;
  }
  throw new Error('the recording was taken');
}

describe('reading a recording', () => {
  test('times with an offset and epoch milliseconds are the same instants, empty cells are missing', () => {
    const text = `${HEADER},solarPowerW.2\r\n2026-06-03T11:15:00+02:00,212.4,,64,1\r\n1780478100500,0,5,,\r\n`;
    const { readings, counts } = parseRecording(text, identity);
    expect(readings).toEqual([
      {
        ...identity,
        seq: 1,
        monoMs: 0,
        at: Date.UTC(2026, 5, 3, 9, 15),
        clock: 'synced',
        quantities: { inputPowerW: 212.4, outputPowerW: null, stateOfChargePct: 64, 'solarPowerW.2': 1 },
        states: {},
        quality: 'good',
        reasons: { outputPowerW: 'notGiven' },
      },
      {
        ...identity,
        seq: 2,
        monoMs: 500,
        at: Date.UTC(2026, 5, 3, 9, 15, 0, 500),
        clock: 'synced',
        quantities: { inputPowerW: 0, outputPowerW: 5, stateOfChargePct: null, 'solarPowerW.2': null },
        states: {},
        quality: 'good',
        reasons: { stateOfChargePct: 'notGiven', 'solarPowerW.2': 'notGiven' },
      },
    ]);
    expect(counts).toEqual({
      rows: 2,
      fromMs: readings[0]!.at,
      toMs: readings[1]!.at,
      quantities: ['inputPowerW', 'outputPowerW', 'stateOfChargePct', 'solarPowerW.2'],
      missing: 3,
      outOfRange: 0,
    });
  });

  test.each([
    [
      'cells parted by semicolons',
      `${HEADER.replaceAll(',', ';')}\n2026-06-03T11:15:00Z;1;2;3\n`,
      /line 1.*semicolons/,
    ],
    ['cells parted by tabs', `${HEADER.replaceAll(',', '\t')}\n2026-06-03T11:15:00Z\t1\t2\t3\n`, /line 1.*tabs/],
    [
      'seconds for milliseconds',
      `${HEADER}\n1780478100,1,2,3\n`,
      /line 2, column time: "1780478100" looks like seconds/,
    ],
    ['a year before there were any', `${HEADER}\n0001-01-01T00:00:00Z,1,2,3\n`, /line 2, column time.*before 1970/],
    ['an instant far before', `${HEADER}\n-99999999999999,1,2,3\n`, /line 2, column time.*before 1970/],
    ['two cells of the header empty', `${HEADER},,\n`, /column "" is there twice/],
  ])('%s: said with the line', (_what, text, says) => {
    expect(failure(text).message).toMatch(says);
  });

  test('a byte-order mark, line feeds alone, quoted cells and columns in another order are taken', () => {
    const text = '\ufeff"stateOfChargePct",time,outputPowerW,inputPowerW\n"64","0","1","2"\n\n65,60000,1,2\n';
    expect(parseRecording(Buffer.from(text), identity).readings.map(r => r.quantities.stateOfChargePct)).toEqual([
      64, 65,
    ]);
  });

  test('a number outside its range is missing with a reason, never clamped', () => {
    const { readings, counts } = parseRecording(`${HEADER}\n0,-5,1,101\n`, identity);
    expect(counts.outOfRange).toBe(2);
    expect(readings[0]).toMatchObject({
      quality: 'uncertain',
      quantities: { inputPowerW: null, outputPowerW: 1, stateOfChargePct: null },
      reasons: { inputPowerW: 'outOfRange', stateOfChargePct: 'outOfRange' },
    });
  });

  test.each([
    ['', 'IMPORT_HEADER', /empty/, /time,inputPowerW/],
    ['time,inputPowerW,outputPowerW\n', 'IMPORT_HEADER', /stateOfChargePct/, /time,inputPowerW/],
    [`${HEADER},solarPowrW\n`, 'IMPORT_HEADER', /line 1.*"solarPowrW"/, /solarPowerW/],
    [`${HEADER},solarPowerW.17\n`, 'IMPORT_HEADER', /"solarPowerW.17"/, /take the column out/],
    [`${HEADER},inputPowerW\n`, 'IMPORT_HEADER', /inputPowerW is there twice/, /one of the two/],
    [`${HEADER}\n0,1,2,3\nyesterday,1,2,3\n`, 'IMPORT_ROW', /line 3, column time: "yesterday"/, /ISO 8601/],
    [`${HEADER}\n2026-06-03T11:15:00,1,2,3\n`, 'IMPORT_ROW', /line 2, column time/, /offset/],
    [`${HEADER}\n2026-04-31T11:15:00Z,1,2,3\n`, 'IMPORT_ROW', /line 2, column time/, /ISO 8601/],
    [`${HEADER}\n1000,1,2,3\n999,1,2,3\n`, 'IMPORT_ROW', /line 3, column time.*before/, /Sort/],
    [`${HEADER}\n0,"1,5",2,3\n`, 'IMPORT_ROW', /line 2, column inputPowerW: "1,5"/, /decimal point/],
    [`${HEADER}\n0,1,0x10,3\n`, 'IMPORT_ROW', /column outputPowerW/, /decimal point/],
    [`${HEADER}\n0,1,NaN,3\n`, 'IMPORT_ROW', /column outputPowerW/, /empty/],
    [`${HEADER}\n0,1,2\n`, 'IMPORT_ROW', /line 2: 3 cells.*4 columns/, /as many cells/],
    [`${HEADER}\n0,1,2,"3\n`, 'IMPORT_ROW', /line 2.*no CSV/, /quote/],
    [`${HEADER},onMains\n0,1,2,3,maybe\n`, 'IMPORT_ROW', /column onMains: "maybe"/, /true, false or unknown/],
  ])('%j is refused with the place and what to do', (text, code, message, fix) => {
    const said = failure(text);
    expect(said.code).toBe(code);
    expect(said.message).toMatch(message);
    expect(said.fix).toMatch(fix);
  });

  test('a stream of any pieces gives the same readings in batches, and the counts at its end', async () => {
    const text = `${HEADER},fault\r\n${Array.from({ length: 25 }, (_, i) => `${i},${i},2,3,"a\r\n""é"""\r\n`).join('')}`;
    const bytes = Buffer.from(text);
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 1, max: 40 }), fc.integer({ min: 1, max: 30 }), async (piece, size) => {
        const pieces = Array.from({ length: Math.ceil(bytes.length / piece) }, (_, i) =>
          bytes.subarray(i * piece, (i + 1) * piece),
        );
        const stream = readRecording(pieces, identity, size);
        const got = [];
        let step = await stream.next();
        for (; !step.done; step = await stream.next()) {
          expect(step.value.length).toBeLessThanOrEqual(size);
          got.push(...step.value);
        }
        const whole = parseRecording(text, identity);
        expect(got).toEqual(whole.readings);
        expect(step.value).toEqual(whole.counts);
      }),
      { numRuns: 20 },
    );
  });

  test('a stream refuses a bad row as the whole file does', async () => {
    const drain = async () => {
      for await (const _ of readRecording([Buffer.from(`${HEADER}\n0,x,2,3\n`)], identity));
    };
    await expect(drain()).rejects.toMatchObject({ code: 'IMPORT_ROW' });
  });
});

describe('writing a recording', () => {
  const write = (readings: Parameters<typeof recordingColumns>[0] & readonly unknown[], zone: string): string =>
    [...recordingCsv(readings, recordingColumns(readings), zone)].join('');

  test('written, read and written again it is the same to the byte', () => {
    fc.assert(
      fc.property(
        anyReadings,
        fc.constantFrom('UTC', 'Europe/Berlin', 'Australia/Lord_Howe', 'America/St_Johns'),
        (readings, zone) => {
          const first = write(readings, zone);
          const { readings: again } = parseRecording(first, identity);
          expect(write(again, zone)).toBe(first);
          expect(again.map(r => r.at)).toEqual(readings.map(r => r.at));
        },
      ),
    );
  });

  test('a second parser sees the same cells', () => {
    fc.assert(
      fc.property(anyReadings, readings => {
        const columns = recordingColumns(readings);
        const parsed = Papa.parse<string[]>(write(readings, 'UTC'), { newline: '\r\n', delimiter: ',' });
        const [header, ...rows] = parsed.data.slice(0, -1);
        expect(parsed.errors).toEqual([]);
        const last = [...(columns.sessions ? ['session'] : []), ...(columns.ran ? ['ranMs'] : [])];
        expect(header).toEqual(['time', ...columns.quantities, ...columns.words.map(word => word.name), ...last]);
        expect(rows.length).toBe(readings.length);
        for (const [i, row] of rows.entries()) {
          expect(Date.parse(row[0]!)).toBe(readings[i]!.at);
          for (const [j, key] of columns.quantities.entries()) {
            const value = readings[i]!.quantities[key];
            expect(row[j + 1]).toBe(value === null || value === undefined ? '' : String(value === 0 ? 0 : value));
          }
        }
      }),
    );
  });

  test('no cell of words begins like a formula', () => {
    const faults = ['=1+1', '+1', '-1', '@x', '\tx', "'x", 'fine', 'a,"b"'];
    const readings = parseRecording(
      `${HEADER},fault\n${faults.map((fault, i) => `${i},1,2,3,"'${fault.replaceAll('"', '""')}"`).join('\n')}\n`,
      identity,
    ).readings;
    expect(readings.map(r => r.states.fault)).toEqual(faults);
    const rows = Papa.parse<string[]>(write(readings, 'UTC').trimEnd(), { newline: '\r\n' }).data.slice(1);
    expect(rows.map(row => row[4])).toEqual(["'=1+1", "'+1", "'-1", "'@x", "'\tx", "''x", 'fine', 'a,"b"']);
  });

  test('sessions stay apart: rows are numbered by them where there are several', () => {
    const text = `${HEADER},session\n0,1,2,3,7\n1000,1,2,3,7\n2000,1,2,3,8\n3000,1,2,3,\n`;
    const { readings } = parseRecording(text, identity);
    expect(readings.map(r => [r.session, r.seq, r.monoMs])).toEqual([
      ['import-1', 1, 0],
      ['import-1', 2, 1000],
      ['import-1.2', 1, 0],
      ['import-1.3', 1, 0],
    ]);
    const rows = write(readings, 'UTC').trimEnd().split('\r\n');
    expect(rows.map(row => row.split(',').at(-1))).toEqual(['session', '1', '1', '2', '3']);
    expect(failure(`${HEADER},session\n0,1,2,3,one\n`).message).toMatch(/line 2, column session: "one"/);
    expect(write(readings.slice(0, 2), 'UTC')).not.toContain('session');
  });

  test('what a station tells otherwise and lacks now is named, in whatever order the columns stand', () => {
    const text =
      'time,lacks,inputPowerW,outputPowerW,stateOfChargePct\n0,inputPowerW stateOfChargePct,,2,\n1000,,,2,3\n';
    const { readings } = parseRecording(text, identity);
    expect(readings.map(r => r.reasons)).toEqual([
      { inputPowerW: 'notAvailable', stateOfChargePct: 'notAvailable' },
      { inputPowerW: 'notGiven' },
    ]);
    const rows = write(readings, 'UTC').trimEnd().split('\r\n');
    expect(rows.map(row => row.split(',').at(-1))).toEqual(['lacks', 'inputPowerW stateOfChargePct', '']);
    expect(failure(`${HEADER},lacks\n0,1,2,3,moonPowerW\n`).message).toMatch(/column lacks: "moonPowerW"/);
  });

  test('how long it was since the row above stands only where the times tell another span', () => {
    const text = `${HEADER},session,ranMs\n0,1,2,3,1,\n500,1,2,3,1,1000\n1500,1,2,3,1,1000\n2000,1,2,3,2,7\n9000,1,2,3,2,0\n`;
    const { readings } = parseRecording(text, identity);
    expect(readings.map(r => r.monoMs)).toEqual([0, 1000, 2000, 0, 0]);
    const rows = write(readings, 'UTC').trimEnd().split('\r\n');
    expect(rows.map(row => row.split(',').at(-1))).toEqual(['ranMs', '', '1000', '', '', '0']);
    for (const cell of ['-1', '1.5', 'x'])
      expect(failure(`${HEADER},ranMs\n0,1,2,3,${cell}\n`)).toMatchObject({
        message: expect.stringContaining(`line 2, column ranMs: "${cell}"`),
        fix: expect.stringContaining('whole milliseconds since the row above'),
      });
  });

  test('what is left of minutes is marked as a mean', () => {
    const [reading] = parseRecording(`${HEADER},meanOverMs\n0,1,2,3,60000\n`, identity).readings;
    expect(reading?.meanOverMs).toBe(60_000);
    expect(write([reading!], 'UTC')).toBe(`${HEADER},meanOverMs\r\n1970-01-01T00:00:00+00:00,1,2,3,60000\r\n`);
    expect(failure(`${HEADER},meanOverMs\n0,1,2,3,0\n`).fix).toContain('ms over which the row is a mean');
  });

  test('both hours of a night when the clocks go back are told apart by their offset', () => {
    const at = Date.UTC(2026, 9, 25, 0, 30);
    const text = `${HEADER}\n${at},1,2,3\n${at + 3_600_000},1,2,3\n`;
    const written = write(parseRecording(text, identity).readings, 'Europe/Berlin');
    expect(written).toContain('\r\n2026-10-25T02:30:00+02:00,');
    expect(written).toContain('\r\n2026-10-25T02:30:00+01:00,');
  });
});
