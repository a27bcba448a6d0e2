import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Reading } from '#kit';
import type { Series } from '#messages';
import { planSeries } from '../../agent/store/query/steps.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

/** Buckets worked out from the readings themselves, the slow and plain way. */
function expected(readings: readonly Reading[], series: Series): (number[] | null)[] {
  return Array.from({ length: series.count }, (_, i) => {
    const from = series.startMs + i * series.stepMs;
    const values = readings
      .filter(r => r.at >= from && r.at < from + series.stepMs && r.quality !== 'bad')
      .flatMap(r => r.quantities.outputPowerW ?? []);
    if (values.length === 0) return null;
    return [Math.min(...values), values.reduce((a, b) => a + b) / values.length, Math.max(...values)];
  });
}

function given(series: Series): (number[] | null)[] {
  const { min, mean, max } = series.columns.outputPowerW!;
  return min.map((low, i) => (low === null ? null : [low, mean[i]!, max[i]!]));
}

function expectClose(got: (number[] | null)[], wanted: (number[] | null)[]): void {
  expect(got.map(b => b === null)).toEqual(wanted.map(b => b === null));
  for (const [i, bucket] of got.entries()) {
    for (const [j, value] of (bucket ?? []).entries()) expect(value).toBeCloseTo(wanted[i]![j]!, 9);
  }
}

describe('the plan of a chart', () => {
  test('never gives more points than asked, covers the span, and steps by a multiple of the level', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 2e12 }),
        fc.oneof(fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 1, max: 5e11 })),
        fc.integer({ min: 1, max: 10_000 }),
        (fromMs, spanMs, points) => {
          const plan = planSeries(fromMs, fromMs + spanMs, points);
          expect(plan.count).toBeGreaterThanOrEqual(1);
          expect(plan.count).toBeLessThanOrEqual(points);
          expect(plan.startMs).toBeLessThanOrEqual(fromMs);
          expect(plan.startMs + plan.count * plan.stepMs).toBeGreaterThanOrEqual(fromMs + spanMs);
          if (plan.level !== null) {
            expect(plan.stepMs % plan.level.stepMs).toBe(0);
            expect(plan.startMs % plan.level.stepMs).toBe(0);
          }
        },
      ),
    );
  });

  test('a day in 600 points comes from minutes, a season from quarter hours, an hour from the readings', () => {
    expect(planSeries(0, 24 * HOUR_MS, 600)).toMatchObject({ stepMs: 3 * MINUTE_MS, level: { stepMs: MINUTE_MS } });
    expect(planSeries(0, 90 * 24 * HOUR_MS, 2000)).toMatchObject({ level: { stepMs: 15 * MINUTE_MS } });
    expect(planSeries(0, HOUR_MS, 600)).toMatchObject({ stepMs: 6000, level: null });
  });

  test.each([
    [10, 10, 5],
    [10, 5, 5],
    [Number.NaN, 5, 5],
    [0, 5, 0],
    [0, 5, 1.5],
    [0, 5, 10_001],
  ])('from %d to %d in %d points is refused', (fromMs, toMs, points) => {
    expect(() => planSeries(fromMs, toMs, points)).toThrow(expect.objectContaining({ code: 'REQUEST_INVALID' }));
  });
});

describe('a series', () => {
  const someDays = fc.record({
    gaps: fc.array(fc.integer({ min: 1, max: 5 * HOUR_MS }), { minLength: 40, maxLength: 120 }),
    values: fc.array(fc.option(fc.integer({ min: 0, max: 30_000 }), { nil: null }), { minLength: 120, maxLength: 120 }),
    bad: fc.integer({ min: 2, max: 9 }),
    size: fc.integer({ min: 1, max: 50 }),
  });

  test('is what its readings say, from whichever level, with every gap a null', () => {
    fc.assert(
      fc.property(someDays, fc.constantFrom(1, 7, 60, 500, 5000), ({ gaps, values, bad, size }, points) => {
        let at = START_AT;
        const readings = gaps.map((gap, i) => {
          at += gap;
          const quality = i % bad === 0 ? ('bad' as const) : ('good' as const);
          const value = values[i] ?? null;
          return reading(i + 1, { outputPowerW: value === null ? null : value / 10 }, { at, quality });
        });
        const record = openTestRecord(freshFolder());
        for (let i = 0; i < readings.length; i += size) record.commit(batch(readings.slice(i, i + size)));
        const ask = (fromMs: number, toMs: number) => {
          const series = record.series({ station: 'shed', quantities: ['outputPowerW'], fromMs, toMs, points });
          expectClose(given(series), expected(readings, series));
        };
        ask(START_AT, at + 1);
        ask(START_AT + (at - START_AT) / 2 - (at % 2) / 2, at + 1);
        ask(at - HOUR_MS, at + 1);
        record.close();
      }),
      { numRuns: 25 },
    );
  }, 60_000);

  test('holds ports, and nulls for what the station never told', () => {
    const record = openTestRecord(freshFolder());
    record.commit(
      batch([reading(1, { 'solarPowerW.1': 40 }), reading(2, { 'solarPowerW.1': 60, 'solarPowerW.2': 7 })]),
    );
    const { columns, count } = record.series({
      station: 'shed',
      quantities: ['solarPowerW.1', 'solarPowerW.2', 'batteryTempC'],
      fromMs: START_AT,
      toMs: START_AT + 10_000,
      points: 1,
    });
    expect(count).toBe(1);
    expect(columns).toEqual({
      'solarPowerW.1': { min: [40], mean: [50], max: [60] },
      'solarPowerW.2': { min: [7], mean: [7], max: [7] },
      batteryTempC: { min: [null], mean: [null], max: [null] },
    });
  });

  test('of a station nobody knows is all nulls', () => {
    const { columns, count } = openTestRecord(freshFolder()).series({
      station: 'nobody',
      quantities: ['outputPowerW'],
      fromMs: 0,
      toMs: 10,
      points: 10,
    });
    expect(columns.outputPowerW!.mean).toEqual(Array(count).fill(null));
  });

  test('a quantity that appears later leaves the earlier hours null', () => {
    const record = openTestRecord(freshFolder());
    record.commit(batch([reading(1, { outputPowerW: 1 })]));
    record.commit(batch([reading(2, { outputPowerW: 1, airTempC: -4 }, { at: START_AT + 3 * HOUR_MS })]));
    record.commit(batch([reading(3, { outputPowerW: 1 }, { at: START_AT + 6 * HOUR_MS })]));
    const span = { fromMs: START_AT - 15 * MINUTE_MS, toMs: START_AT + 7 * HOUR_MS - 15 * MINUTE_MS, points: 7 };
    const { columns, stepMs } = record.series({ station: 'shed', quantities: ['airTempC', 'outputPowerW'], ...span });
    expect(stepMs).toBe(HOUR_MS);
    expect(columns.airTempC!.mean).toEqual([null, null, null, -4, null, null, null]);
    expect(columns.outputPowerW!.mean).toEqual([1, null, null, 1, null, null, 1]);
  });
});
