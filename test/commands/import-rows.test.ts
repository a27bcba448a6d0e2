import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { DayTotals, KeptReading } from '#messages';
import type { RowsTaken } from '../../agent/commands/import-rows.ts';
import { recordingPieces } from '../../agent/commands/recording-pieces.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import { createStamper } from '../../agent/derive/stamp.ts';
import { parseRecording } from '../../agent/exchange/read-recording.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { anyReadings } from '../support/any-readings.ts';
import { freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';
import { stationFacts } from '../support/station-facts.ts';
import { takeRows } from '../support/taken-rows.ts';

const facts = stationFacts({ intervalMs: 1000 });
const FAR = 8e15;

async function exported(record: OpenedRecord): Promise<Buffer> {
  const pieces: Uint8Array[] = [];
  const wanted = { format: 'csv', station: 'shed', fromMs: 0, toMs: FAR, zone: 'UTC', version: '1.2.3' } as const;
  for await (const piece of recordingPieces(record, wanted, false)) if (piece !== null) pieces.push(piece);
  return Buffer.concat(pieces);
}

interface How {
  write?: boolean;
  atOnce?: number;
  nowMs?: number;
  intervalMs?: number;
}

const take = (
  record: OpenedRecord,
  rows: readonly KeptReading[],
  { intervalMs = facts.intervalMs, ...how }: How = {},
) => takeRows(record, rows, { ...facts, intervalMs }, how);

let imports = 0;
const read = (file: Buffer) => parseRecording(file, { station: 'shed', session: `import-${++imports}` }).readings;
const days = (record: OpenedRecord): DayTotals[] => record.days('shed', '', '9');
const moved = (taken: RowsTaken) =>
  taken.days.map(({ date, inputMilliJ, coveredMs }) => [date, inputMilliJ, coveredMs]);

/** Seconds with a restart, a gap and a bad reading in them. */
const seconds = (from: number, count: number): KeptReading[] =>
  Array.from({ length: count }, (_, i) =>
    reading(
      i + 1,
      { inputPowerW: (i * 37) % 300, outputPowerW: (i * 11) % 90, stateOfChargePct: i % 101 },
      {
        session: `s${Math.floor(i / 1100)}`,
        at: START_AT + (from + i + (i > 2000 ? 600 : 0)) * 1000,
        monoMs: (i + (i > 2000 ? 600 : 0)) * 1000,
        quality: i % 999 === 0 ? 'bad' : 'good',
      },
    ),
  );

describe('a recording that export wrote', () => {
  test('is read into a fresh record with the same totals, readings and file, and counts once when read again', async () => {
    await fc.assert(
      fc.asyncProperty(anyReadings, async readings => {
        const [from, into] = [openTestRecord(freshFolder()), openTestRecord(freshFolder())];
        takeRecording(readings, facts, from, null);
        const file = await exported(from);
        expect(take(into, read(file))).toMatchObject({ newer: readings.length, older: 0, recorded: 0 });
        expect(days(into)).toEqual(days(from));
        expect((await exported(into)).equals(file)).toBe(true);
        expect(take(into, read(file))).toMatchObject({ newer: 0, older: 0, recorded: readings.length, days: [] });
        expect(days(into)).toEqual(days(from));
        from.close();
        into.close();
      }),
      { numRuns: 10 },
    );
  });

  test('gives the same totals to the millijoule through restarts, gaps and bad readings', async () => {
    const [from, into] = [openTestRecord(freshFolder()), openTestRecord(freshFolder())];
    takeRecording(seconds(0, 3_000), facts, from, null);
    take(into, read(await exported(from)));
    expect(days(into)).toEqual(days(from));
    expect(days(from)[0]!.inputMilliJ).toBeGreaterThan(100 * 3_600_000);
  });
});

test('a recording in which a power was lost for a while brings back what was recorded and what was not', async () => {
  const rows = seconds(0, 600).map(row =>
    row.seq > 200 && row.seq <= 400
      ? {
          ...row,
          quantities: { ...row.quantities, inputPowerW: null },
          reasons: { inputPowerW: 'notAvailable' as const },
        }
      : row.seq > 500
        ? {
            ...row,
            quantities: { ...row.quantities, outputPowerW: null },
            reasons: { outputPowerW: 'notGiven' as const },
          }
        : row,
  );
  const [from, into] = [openTestRecord(freshFolder()), openTestRecord(freshFolder())];
  takeRecording(rows, facts, from, null);
  const file = await exported(from);
  take(into, read(file));
  expect(days(from)[0]!.gapMs).toBeGreaterThan(200_000);
  expect(days(into)).toEqual(days(from));
  expect((await exported(into)).equals(file)).toBe(true);
});

describe('a recording over a clock that was put right', () => {
  /** Six hours of seconds as they are stamped while the computer's clock is off by what `offMs` tells. */
  const lived = (offMs: (second: number) => number): KeptReading[] => {
    const stamper = createStamper(null);
    return Array.from({ length: 6 * 3600 }, (_, i) => {
      const { at, clock } = stamper.stamp(START_AT + i * 1000 + offMs(i), i * 1000);
      const watts = { inputPowerW: (i * 37) % 300, outputPowerW: (i * 11) % 90, stateOfChargePct: 50 };
      return reading(i + 1, watts, { session: i < 9000 ? 'a' : 'b', at, clock, monoMs: i * 1000 });
    });
  };

  test.each([
    ['back by two hours, while the record waits for it', (i: number) => (i < 60 ? 7_200_000 : 0)],
    ['forward by two hours', (i: number) => (i < 60 ? -7_200_000 : 0)],
    ['forward by a second and a half', (i: number) => (i < 7200 ? -1500 : 0)],
  ])('%s, comes back to the millijoule and to the byte', async (_, offMs) => {
    const [from, into] = [openTestRecord(freshFolder()), openTestRecord(freshFolder())];
    takeRecording(lived(offMs), facts, from, null);
    const file = await exported(from);
    take(into, read(file));
    expect(days(into)).toEqual(days(from));
    expect((await exported(into)).equals(file)).toBe(true);
  });
});

describe('rows before the record', () => {
  test('give the same totals in one stretch and in many', () => {
    const told = [20_000, 300].map(atOnce => {
      const record = openTestRecord(freshFolder());
      take(record, seconds(20_000, 100));
      expect(take(record, read(Buffer.from(csvOf(seconds(0, 3_000)))), { atOnce })).toMatchObject({ older: 3_000 });
      const spans = record.spans('shed', 0, FAR).map(({ fromMs, toMs }) => [fromMs, toMs]);
      return { days: days(record), spans, check: record.check(), count: [...record.readings('shed', 0, FAR)].length };
    });
    expect(told[1]).toEqual(told[0]);
    expect(told[0]).toMatchObject({ check: [], count: 3_100 });
  });
});

describe('a dry run', () => {
  test('tells what days would gain, as they then do, and changes nothing', () => {
    const record = openTestRecord(freshFolder());
    take(record, seconds(1_000, 1_000));
    const before = days(record);
    const rows = seconds(0, 2_900);
    const dry = take(record, rows, { write: false, atOnce: 700 });
    expect(days(record)).toEqual(before);
    const written = take(
      record,
      rows.map(row => ({ ...row, session: `again-${row.session}` })),
      { atOnce: 700 },
    );
    expect(dry).toMatchObject({ older: written.older, newer: written.newer, recorded: written.recorded });
    expect(moved(dry)).toEqual(moved(written));
    expect(days(record)[0]!.inputMilliJ - before[0]!.inputMilliJ).toBe(dry.days[0]!.inputMilliJ);
  });

  test('and a real one leave out what is later than now', () => {
    const record = openTestRecord(freshFolder());
    const rows = seconds(0, 100);
    expect(take(record, rows, { nowMs: rows[59]!.at })).toMatchObject({ newer: 60, ahead: 40, toMs: rows[59]!.at });
    expect(record.extent('shed')?.toMs).toBe(rows[59]!.at);
  });
});

test('of readings that were let go the minutes are exported, marked, and read back to nearly the same totals', async () => {
  const day = Date.UTC(2026, 5, 3);
  const rows = Array.from({ length: 2 * 1440 }, (_, i) =>
    reading(
      i + 1,
      { inputPowerW: 100 + (i % 60), outputPowerW: 20, stateOfChargePct: 50 },
      { at: day + i * 60_000 + 5_000, monoMs: i * 60_000, session: 'live' },
    ),
  );
  const record = openTestRecord(freshFolder(), { nowMs: () => day + 5 * 86_400_000, keepRawDays: () => 4 });
  takeRecording(rows, { ...facts, intervalMs: 60_000, zone: 'UTC' }, record, null);
  for (let piece = 0; piece < 20; piece++) record.upkeep();
  const file = await exported(record);
  const back = read(file);
  expect(back.filter(row => row.meanOverMs === 60_000)).toHaveLength(1_440);
  expect(back).toHaveLength(2_880);
  const before = days(record);
  expect(take(record, back)).toMatchObject({ older: 0, newer: 0, recorded: 2_880 });
  expect(days(record)).toEqual(before);
  const fresh = openTestRecord(freshFolder());
  take(fresh, back, { intervalMs: 60_000 });
  const wh = (one: OpenedRecord) => days(one).reduce((sum, { inputMilliJ }) => sum + inputMilliJ, 0) / 3_600_000;
  // Half a minute at both ends of each stretch, and the minute between two sessions.
  expect(Math.abs(wh(fresh) - wh(record))).toBeLessThan((3 * 160) / 60);
});

test('means of minutes count as minutes, next to seconds that count as seconds', () => {
  const record = openTestRecord(freshFolder());
  const minutes = Array.from({ length: 60 }, (_, i) => ({
    ...reading(
      i + 1,
      { inputPowerW: 120, outputPowerW: 0 },
      { session: 'm', at: START_AT + i * 60_000, monoMs: i * 60_000 },
    ),
    meanOverMs: 60_000,
  }));
  const after = Array.from({ length: 60 }, (_, i) =>
    reading(
      i + 1,
      { inputPowerW: 120, outputPowerW: 0 },
      { session: 's', at: START_AT + 3_600_000 + i * 30_000, monoMs: i * 30_000 },
    ),
  );
  take(record, [...minutes, ...after]);
  expect(days(record)).toMatchObject([{ coveredMs: 59 * 60_000, inputMilliJ: 120 * 59 * 60_000 }]);
});

function csvOf(rows: readonly KeptReading[]): string {
  let session = 0;
  const lines = rows.map((row, i) => {
    if (i === 0 || rows[i - 1]!.session !== row.session) session++;
    const { inputPowerW, outputPowerW, stateOfChargePct } = row.quantities;
    return [row.at, inputPowerW, outputPowerW, stateOfChargePct, row.quality === 'bad' ? 'bad' : '', session].join(',');
  });
  return ['time,inputPowerW,outputPowerW,stateOfChargePct,quality,session', ...lines, ''].join('\n');
}

describe('a row of 1970 before rows of today', () => {
  test('is taken as it stands, with the half-century between as a gap', () => {
    const record = openTestRecord(freshFolder());
    const early = reading(1, { inputPowerW: 100 }, { session: 'old', at: 0, monoMs: 0 });
    const rows = [early, ...seconds(0, 100).slice(1)];
    expect(take(record, rows, { write: false })).toMatchObject({ newer: 100, fromMs: 0, toMs: rows.at(-1)!.at });
    take(record, rows);
    const gapMs = days(record).reduce((sum, day) => sum + day.gapMs, 0);
    expect(gapMs).toBe(rows[1]!.at);
    expect(days(record)[0]).toMatchObject({ date: '1970-01-01', inputMilliJ: 0 });
  });
});
