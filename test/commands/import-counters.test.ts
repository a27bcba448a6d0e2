/** A station's own counters over gaps that older rows fill: blocks give way to what the rows tell, and nothing is added twice. */
import { describe, expect, test } from 'vitest';
import type { CounterName, Reading } from '#kit';
import { takeOlder } from '../../agent/commands/take-older.ts';
import { addCounted, type BridgeFound, type CountedAddition } from '../../agent/derive/counted.ts';
import { createCounters } from '../../agent/derive/counters.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { seededRandom } from '../support/kill-rounds.ts';
import { freshFolder, openTestRecord, reading } from '../support/record.ts';
import { stationFacts } from '../support/station-facts.ts';
import { takeRows } from '../support/taken-rows.ts';

const MINUTE_MS = 60_000;
const BEGIN = Date.UTC(2026, 5, 3, 18);
/** Two midnights. */
const MINUTES = 40 * 60;
const MILLIJ_PER_WH = 3_600_000;

const facts = stationFacts({});

/** 60 W from the sun, counted in whole watt-hours: one a minute. */
const rows = (session: string, from: number, to: number, counts = (minute: number): number | null => 5000 + minute) =>
  Array.from({ length: to - from }, (_, i): Reading => {
    const minute = from + i;
    const solarEnergyWh = counts(minute);
    const powers = { solarPowerW: 60, inputPowerW: 60, outputPowerW: 10, stateOfChargePct: 50 };
    const quantities = solarEnergyWh === null ? powers : { ...powers, solarEnergyWh };
    return reading(i + 1, quantities, { session, at: BEGIN + minute * MINUTE_MS, monoMs: minute * MINUTE_MS });
  });

const importInto = (record: OpenedRecord, recording: readonly Reading[]) => takeRows(record, recording, facts);

const blocks = (record: OpenedRecord) =>
  record.bridges('shed', 0, 8e15).map(({ fromAt, toAt, milliJ, cause }) => ({
    from: (fromAt - BEGIN) / MINUTE_MS,
    to: (toAt - BEGIN) / MINUTE_MS,
    wh: milliJ === null ? null : milliJ / MILLIJ_PER_WH,
    cause,
  }));
const countedWh = (record: OpenedRecord) =>
  record.counted('shed', '', '9').map(({ date, countedMilliJ }) => [date, countedMilliJ / MILLIJ_PER_WH]);

/** The same followed anew from all readings. */
function anew(record: OpenedRecord) {
  const counters = createCounters([], null);
  const days = new Map<string, CountedAddition>();
  const bridges: BridgeFound[] = [];
  for (const one of record.readings('shed', 0, 8e15)) {
    const told = counters.add(one, one.quantities.solarPowerW ?? null, facts);
    bridges.push(...told.bridges);
    for (const part of told.counted)
      days.set(part.date, days.has(part.date) ? addCounted(days.get(part.date)!, part) : part);
  }
  return { days: [...days.values()].sort((a, b) => a.startMs - b.startMs), bridges };
}

function expectSound(record: OpenedRecord): void {
  const { days, bridges } = anew(record);
  const sums = ({
    date,
    countedMilliJ,
    comparedMilliJ,
    integratedMilliJ,
    lastMilliWh,
    lastAt,
  }: (typeof days)[number]) => ({
    date,
    countedMilliJ,
    comparedMilliJ,
    integratedMilliJ,
    lastMilliWh,
    lastAt,
  });
  expect(record.counted('shed', '', '9').map(sums)).toEqual(days.map(sums));
  const place = ({ fromAt, toAt, milliJ, cause }: BridgeFound) => ({ fromAt, toAt, milliJ, cause });
  expect(record.bridges('shed', 0, 8e15).map(place)).toEqual(bridges.map(place));
}

describe('older rows with the counts of the station itself', () => {
  test('take the place of the block over their gap', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('a', 0, 60));
    importInto(record, rows('b', 600, 660));
    expect(blocks(record)).toEqual([{ from: 59, to: 600, wh: 541, cause: 'counted' }]);
    importInto(record, rows('c', 200, 300));
    expect(blocks(record)).toEqual([
      { from: 59, to: 200, wh: 141, cause: 'counted' },
      { from: 299, to: 600, wh: 301, cause: 'counted' },
    ]);
    expectSound(record);
    importInto(record, rows('d', 0, 660));
    expect(blocks(record)).toEqual([]);
    expect(countedWh(record)).toEqual([
      ['2026-06-03', 240],
      ['2026-06-04', 419],
    ]);
    expectSound(record);
  });

  test('before the first and after the last join what is there', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('live', 300, 400));
    importInto(record, rows('older', 0, 100));
    importInto(record, rows('newer', 700, 800));
    expect(blocks(record)).toEqual([
      { from: 99, to: 300, wh: 201, cause: 'counted' },
      { from: 399, to: 700, wh: 301, cause: 'counted' },
    ]);
    expectSound(record);
  });

  test('that lack the count leave its block where it is, between two days at least', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('a', 0, 60));
    importInto(record, rows('b', 600, 660));
    importInto(
      record,
      rows('c', 60, 600, () => null),
    );
    expect(blocks(record)).toEqual([{ from: 59, to: 600, wh: 541, cause: 'counted' }]);
    expectSound(record);
  });

  test('fill what lies before a recorded reading without the count, and the count after it counts no hour again', () => {
    const record = openTestRecord(freshFolder());
    importInto(
      record,
      rows('a', 500, 501, () => null),
    );
    importInto(record, rows('b', 400, 401));
    importInto(record, rows('c', 502, 503));
    expect(blocks(record)).toEqual([{ from: 400, to: 502, wh: 102, cause: 'counted' }]);
    importInto(record, rows('d', 401, 502));
    const countedAndBridged = [
      ...countedWh(record).map(([, wh]) => wh as number),
      ...blocks(record).map(({ wh }) => wh!),
    ];
    expect(countedAndBridged.reduce((sum, wh) => sum + wh, 0)).toBe(102);
  });

  test('of another counter say nothing of what passed around them', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('a', 0, 60));
    importInto(record, rows('b', 600, 660));
    importInto(
      record,
      rows('c', 200, 300, minute => 7 + minute),
    );
    expect(blocks(record).map(({ cause, wh }) => [cause, wh])).toEqual([
      ['reset', null],
      ['counted', 5294],
    ]);
    expect(record.counterEnds('shed')).toMatchObject([{ lastMilliWh: 5_659_000 }]);
  });

  test('take back a step that a gap too short for a block had left to its day', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('a', 0, 60));
    importInto(record, rows('b', 61, 100));
    expect(blocks(record)).toEqual([]);
    expect(countedWh(record)).toEqual([['2026-06-03', 99]]);
    const at = (minute: number) => BEGIN + minute * MINUTE_MS;
    takeOlder({ fromMs: at(59), toMs: at(61), readings: rows('c', 60, 61) }, facts, record);
    expect(blocks(record)).toEqual([]);
    expect(countedWh(record)).toEqual([['2026-06-03', 99]]);
    expect(record.counterEnds('shed')).toMatchObject([{ lastMilliWh: 5_099_000, stepMilliWh: 1000 }]);
  });

  test('in any pieces and any order, twice over, come to what following all of them at once gives', () => {
    const seed = Date.now() % 2 ** 31;
    console.log(`counters of pieces: seed ${seed}`);
    const random = seededRandom(seed);
    for (let round = 0; round < 6; round++) {
      const record = openTestRecord(freshFolder());
      // Rows that lack the count among others: what lies between two counts is a block, even where rows go on.
      const lacking = round % 2 === 1;
      for (let piece = 0; piece < 6; piece++) {
        const [from, length] = [Math.floor(random() * MINUTES), 1 + Math.floor(random() * 400)];
        const counts = lacking && random() < 0.4 ? () => null : undefined;
        importInto(record, rows(`p${piece}`, from, from + length, counts));
      }
      if (!lacking) expectSound(record);
      importInto(record, rows('whole', 0, MINUTES));
      const quantity: CounterName = 'solarEnergyWh';
      const all = [...record.readings('shed', 0, 8e15)].flatMap(r => r.quantities[quantity] ?? []);
      const total =
        record.counted('shed', '', '9').reduce((sum, one) => sum + one.countedMilliJ, 0) +
        record.bridges('shed', 0, 8e15).reduce((sum, one) => sum + one.milliJ!, 0);
      // Between a count and rows that lack it something may stay unknown; nothing is ever counted twice.
      if (lacking) expect(total / MILLIJ_PER_WH).toBeLessThanOrEqual(all.at(-1)! - all[0]!);
      else expect(total / MILLIJ_PER_WH).toBe(all.at(-1)! - all[0]!);
      const before = [record.counted('shed', '', '9'), record.bridges('shed', 0, 8e15)];
      importInto(record, rows('again', 0, MINUTES));
      expect([record.counted('shed', '', '9'), record.bridges('shed', 0, 8e15)]).toEqual(before);
      record.close();
    }
  });
});
