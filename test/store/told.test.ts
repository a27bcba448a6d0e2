import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ColumnsSeen, recordingColumns } from '../../agent/exchange/write-recording.ts';
import { anyReadings } from '../support/any-readings.ts';
import { batch, freshFolder, openTestRecord } from '../support/record.ts';
import { DAY_MS, FIRST_DAY, folderOfDays } from '../support/sealed-days.ts';

test('what a stretch tells of is what its readings tell of, learned block by block', () => {
  fc.assert(
    fc.property(anyReadings, fc.nat(), fc.nat(), fc.boolean(), (readings, a, b, sealed) => {
      const record = openTestRecord(freshFolder());
      record.commit(batch(readings));
      const last = readings.at(-1)!;
      // Two hours on, every hour before it is closed.
      if (sealed) record.commit(batch([{ ...last, seq: last.seq + 1, at: last.at + 7_200_000, quantities: {} }]));
      const [from, to] = [a % readings.length, b % readings.length].sort((x, y) => x - y);
      const range = ['shed', readings[from!]!.at, readings[to!]!.at + 1] as const;
      const seen = new ColumnsSeen();
      for (const told of record.told(...range)) seen.add(told);
      expect(seen.columns()).toEqual(recordingColumns(record.readings(...range)));
      record.close();
    }),
    { numRuns: 20 },
  );
});

test('of a station that is not on record nothing is told', () => {
  const record = openTestRecord(freshFolder());
  expect([...record.told('attic', 0, Number.MAX_SAFE_INTEGER)]).toEqual([]);
});

test('where readings were let go it is told of minutes, and the file marks them as means', () => {
  const dir = folderOfDays(4);
  const nowMs = FIRST_DAY + 6 * DAY_MS;
  const record = openTestRecord(dir, { nowMs: () => nowMs, keepRawDays: () => 3 });
  for (let piece = 0; piece < 20; piece++) record.upkeep();
  const station = record.stations()[0]!;
  for (const toMs of [FIRST_DAY + 2 * DAY_MS, Number.MAX_SAFE_INTEGER]) {
    const seen = new ColumnsSeen();
    for (const told of record.told(station, 0, toMs)) seen.add(told);
    expect(seen.columns()).toEqual(recordingColumns(record.readings(station, 0, toMs)));
    expect(seen.columns().words.map(word => word.name)).toContain('meanOverMs');
  }
});
