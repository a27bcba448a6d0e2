import { describe, expect, it } from 'vitest';
import { createJudging } from '../../agent/derive/judge.ts';
import { createOpenRanges } from '../../agent/derive/open-ranges.ts';
import { LIVED_FACTS } from '../support/lived-station.ts';
import { fridgeNight, NIGHT_AT, NIGHT_RATED_WH, row } from '../support/recorded-night.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const facts = { ...LIVED_FACTS, ratedWh: NIGHT_RATED_WH };

function judged(rows: ReturnType<typeof fridgeNight>, over: Partial<typeof facts> = {}) {
  const judging = createJudging({ ...facts, ...over });
  for (const r of rows) judging.add(r);
  return judging.result();
}

describe('judging a past', () => {
  const night = fridgeNight(MINUTE);
  const found = judged(night);

  it('tells how many ranges came true, how far their middle was off, and the watts of the moment beside', () => {
    expect(found.fromAt).toBe(NIGHT_AT);
    expect(found.toAt).toBe(night.at(-1)!.at);
    // Many nights: a dozen ranges of one night may fall on either side.
    const { ranges } = judged([0, 1, 2, 3].flatMap(n => night.map(r => ({ ...r, at: r.at + n * 24 * HOUR }))));
    expect(found.ranges.of).toBeGreaterThan(5);
    expect(ranges.of).toBeGreaterThan(3 * found.ranges.of);
    expect(ranges.held).toBeGreaterThan(0.5 * ranges.of);
    // A fridge that cycles: what it draws now is not what it draws.
    expect(ranges.plainErrorPct).toBeGreaterThan(ranges.medianErrorPct!);
  });

  it('parts them by how far ahead they looked, each counted once', () => {
    expect(found.byHorizon.map(h => h.upToMin)).toEqual([60, 180, 480, null]);
    expect(found.byHorizon.reduce((sum, h) => sum + h.of, 0)).toBe(found.ranges.of);
    expect(found.byHorizon.reduce((sum, h) => sum + h.held, 0)).toBe(found.ranges.held);
  });

  it('scores the discharge down to the floor as a recording is scored, its warning too', () => {
    expect(found.floor).toMatchObject({ discharges: 1, warnings: 1, warnedInTime: 1 });
    expect(found.floor!.medianErrorPct).toBeLessThan(found.floor!.plainErrorPct!);
    expect(found.full).toBeNull();
  });

  it('judges what went by even where the floor was not reached', () => {
    const half = judged(night.filter(r => r.stateOfChargePct! > 25));
    expect(half.floor).toBeNull();
    expect(half.ranges.of).toBeGreaterThan(0);
  });

  it('has nothing to judge in a record without a discharge, and none in no record', () => {
    const onTheWall = Array.from({ length: 600 }, (_, m) => ({
      ...row(NIGHT_AT + m * MINUTE, 60, 100, 60),
      solarW: 0,
      held: true,
      onMains: true,
    }));
    expect(judged(onTheWall).ranges).toEqual({ of: 0, held: 0, medianErrorPct: null, plainErrorPct: null });
    expect(judged([])).toMatchObject({ fromAt: null, toAt: null, floor: null, full: null });
  });

  it('uses nothing but what came before: a later end does not change what was told', () => {
    const longer = judged([...night, ...night.map(r => ({ ...r, at: r.at + 24 * HOUR }))]);
    expect(longer.ranges.of).toBeGreaterThan(found.ranges.of);
    expect(longer.floor!.discharges).toBe(2);
  });

  it('has no plain way beside it where no label is known', () => {
    expect(judged(night, { ratedWh: null as never }).ranges.plainErrorPct).toBeNull();
  });
});

describe('ranges that wait for their outcome', () => {
  const range = { p10: 20, p50: 30, p90: 40 };
  const asked = { at: 0, fromPct: 60, targetPct: 50, range, plainMin: null };
  const seen = (at: number, stateOfChargePct: number | null, held = false) => ({ at, stateOfChargePct, held });

  it('are settled when their percent is first shown', () => {
    const open = createOpenRanges();
    open.add(asked);
    for (const [minute, pct] of [
      [10, 55],
      [20, null],
      [33, 49],
      [40, 48],
    ] as const)
      open.see(seen(minute * MINUTE, pct));
    expect(open.outcomes().map(o => o.trueMin)).toEqual([33]);
  });

  it('are void once it charges, is fed, or nothing was read for a while', () => {
    for (const spoil of [
      (o: ReturnType<typeof createOpenRanges>) => o.see(seen(MINUTE, 62)),
      (o: ReturnType<typeof createOpenRanges>) => o.see(seen(MINUTE, 59, true)),
      (o: ReturnType<typeof createOpenRanges>) => o.drop(),
    ]) {
      const open = createOpenRanges();
      open.add(asked);
      spoil(open);
      open.see(seen(30 * MINUTE, 50));
      expect(open.outcomes()).toEqual([]);
    }
  });
});
