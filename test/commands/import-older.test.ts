import { describe, expect, test } from 'vitest';
import type { Reading } from '#kit';
import { addDays } from '../../agent/commands/run/pending.ts';
import { createTally, type DayAddition } from '../../agent/derive/tally.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { seededRandom } from '../support/kill-rounds.ts';
import { freshFolder, openTestRecord, reading } from '../support/record.ts';
import { stationFacts } from '../support/station-facts.ts';
import { takeRows } from '../support/taken-rows.ts';

const MINUTE_MS = 60_000;
const BEGIN = Date.UTC(2026, 2, 28, 18);
/** The night in which clocks go forward lies in it. */
const MINUTES = 30 * 60;

const facts = stationFacts({});

/** Rows of a recording, one a minute. */
const rows = (session: string, from: number, to: number): Reading[] =>
  Array.from({ length: to - from }, (_, i) => {
    const minute = from + i;
    const quantities = {
      inputPowerW: (minute * 37) % 300,
      outputPowerW: (minute * 11) % 90,
      stateOfChargePct: minute % 101,
    };
    return reading(i + 1, quantities, { session, at: BEGIN + minute * MINUTE_MS, monoMs: minute * MINUTE_MS });
  });

function importInto(record: OpenedRecord, recording: readonly Reading[], own = facts): { added: number; left: number } {
  const { older, newer, recorded } = takeRows(record, recording, own);
  return { added: older + newer, left: recorded };
}

const all = (record: OpenedRecord) => [...record.readings('shed', 0, 8e15)];

/** The days of a record counted anew from its readings alone. */
function recounted(record: OpenedRecord, zone: string): DayAddition[] {
  const tally = createTally(MINUTE_MS, null);
  const days = new Map<string, DayAddition>();
  for (const one of all(record))
    for (const day of tally.add(one, one.quantities.solarPowerW ?? null, zone).days) {
      const before = days.get(day.date);
      days.set(day.date, before === undefined ? day : addDays(before, day));
    }
  return [...days.values()].sort((a, b) => a.startMs - b.startMs);
}

function expectSound(record: OpenedRecord, zone = facts.zone): void {
  const readings = all(record);
  expect(readings.map(r => r.at)).toEqual([...readings.map(r => r.at)].sort((a, b) => a - b));
  expect(record.days('shed', '', '9')).toEqual(recounted(record, zone));
  expect(record.extent('shed')).toEqual({ fromMs: readings[0]!.at, toMs: readings.at(-1)!.at });
  expect(record.check()).toEqual([]);
  const series = record.series({
    station: 'shed',
    quantities: ['inputPowerW'],
    fromMs: BEGIN,
    toMs: BEGIN + MINUTES * MINUTE_MS,
    points: 200,
  });
  const { startMs, stepMs, count } = series;
  const wanted = Array.from({ length: count }, (_, bucket) => {
    const within = readings.filter(r => Math.floor((r.at - startMs) / stepMs) === bucket);
    return within.length === 0 ? null : within.reduce((sum, r) => sum + r.quantities.inputPowerW!, 0) / within.length;
  });
  const means = series.columns.inputPowerW!.mean;
  for (const [i, mean] of means.entries())
    if (mean === null) expect(wanted[i]).toBeNull();
    else expect(mean).toBeCloseTo(wanted[i]!, 6);
}

describe('rows older than the record', () => {
  test('join it before its first reading, with their days, minutes and gaps', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('live', 900, 1000));
    expect(importInto(record, rows('old', 0, 300))).toEqual({ added: 300, left: 0 });
    expectSound(record);
    expect(record.latest('shed')).toMatchObject({ session: 'live', seq: 100 });
    expect(record.cursor('shed')).toMatchObject({ session: 'live' });
    const spans = record.spans('shed', 0, 8e15);
    expect(spans.map(s => [s.fromMs, s.toMs])).toEqual([[BEGIN + 299 * MINUTE_MS, BEGIN + 900 * MINUTE_MS]]);
  });

  test('fill its gaps and nothing else, and what is read twice counts once', () => {
    const seed = Date.now() % 2 ** 31;
    console.log(`holes: seed ${seed}`);
    const random = seededRandom(seed);
    for (let round = 0; round < 6; round++) {
      const record = openTestRecord(freshFolder());
      const cuts = Array.from({ length: 8 }, () => Math.floor(random() * MINUTES)).sort((a, b) => a - b);
      let live = 0;
      for (let i = 0; i < 8; i += 2) {
        const part = rows(`live${i}`, cuts[i]!, cuts[i + 1]!);
        live += part.length;
        importInto(record, part);
      }
      const before = all(record);
      const whole = rows('whole', 0, MINUTES);
      const { added, left } = importInto(record, whole);
      expect(added + left).toBe(MINUTES);
      expectSound(record);
      const after = all(record);
      expect(after).toHaveLength(before.length + added);
      expect(after.filter(r => r.session !== 'whole')).toEqual(before);
      const days = record.days('shed', '', '9');
      const spans = record.spans('shed', 0, 8e15);
      expect(importInto(record, rows('again', 0, MINUTES))).toEqual({ added: 0, left: MINUTES });
      expect(record.days('shed', '', '9')).toEqual(days);
      expect(record.spans('shed', 0, 8e15)).toEqual(spans);
      record.close();
      expect(live).toBeGreaterThanOrEqual(0);
    }
  });

  test('take the explanation of a gap only as far as they fill it', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('a', 0, 60));
    importInto(record, rows('b', 600, 660));
    expect(record.spans('shed', 0, 8e15)).toMatchObject([{ reason: 'agentDown', toMs: BEGIN + 600 * MINUTE_MS }]);
    importInto(record, rows('c', 200, 300));
    expect(record.spans('shed', 0, 8e15).map(s => [s.reason, s.fromMs, s.toMs])).toEqual([
      ['agentDown', BEGIN + 59 * MINUTE_MS, BEGIN + 200 * MINUTE_MS],
      ['agentDown', BEGIN + 299 * MINUTE_MS, BEGIN + 600 * MINUTE_MS],
    ]);
    expectSound(record);
  });

  test('within readings that come more often are left out', () => {
    const record = openTestRecord(freshFolder());
    const often = Array.from({ length: 600 }, (_, i) =>
      reading(i + 1, { inputPowerW: 5, outputPowerW: 5 }, { session: 's', at: BEGIN + i * 1000, monoMs: i * 1000 }),
    );
    importInto(record, often, { ...facts, intervalMs: 1000 });
    expect(importInto(record, rows('slow', 0, 30))).toEqual({ added: 20, left: 10 });
    // The other way round: fast rows within a slow record's stretch.
    expect(
      importInto(
        record,
        often.map(r => ({ ...r, session: 'f', at: r.at + 15 * MINUTE_MS })),
        { ...facts, intervalMs: 1000 },
      ),
    ).toEqual({ added: 0, left: 600 });
  });

  test('reseal the closed days they touch in the same step', () => {
    const nowMs = BEGIN + 10 * 86_400_000;
    const record = openTestRecord(freshFolder(), { nowMs: () => nowMs });
    importInto(record, rows('live', 900, 1000));
    for (let piece = 0; piece < 3; piece++) record.upkeep();
    importInto(record, rows('old', 300, 600));
    expect(record.checkSeals()).toEqual([]);
    expectSound(record);
  });

  test('keep the zone that was in force on the days they touch', () => {
    const record = openTestRecord(freshFolder());
    importInto(record, rows('live', 0, 200));
    importInto(record, rows('later', 400, 500));
    importInto(record, rows('gap', 200, 400), { ...facts, zone: 'Asia/Kathmandu' });
    expectSound(record);
  });
});
