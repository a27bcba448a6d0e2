import { describe, expect, it } from 'vitest';
import { movingPlan } from '../../../agent/energy/estimates/skyline/moving-plan.ts';
import type { PlanSpot, SpotLearning, SunOrShade } from '../../../agent/energy/estimates/skyline/types.ts';

const HOUR_MS = 3_600_000;
const DAY_AT = Date.UTC(2026, 5, 3);
const at = (hour: number) => DAY_AT + hour * HOUR_MS;
const UNTIL = at(18);

/** A spot at which 200 W come in the sun and 30 W in shade, by the hours of its strip. */
function spot(id: string, is: (hour: number) => SunOrShade, gainW = 200): PlanSpot {
  const outlook: SpotLearning['outlook'] = (nowMs, untilMs, stepMs) => {
    const count = Math.ceil((untilMs - nowMs) / stepMs);
    const hours = Array.from({ length: count }, (_, i) => (nowMs + (i + 0.5) * stepMs - DAY_AT) / HOUR_MS);
    return {
      sunPerW: new Float64Array(count).fill(1),
      shadePerW: new Float64Array(count).fill(0.15),
      is: hours.map(is),
      gainW,
    };
  };
  return { id, learned: { outlook } as SpotLearning };
}

const morning = spot('step', hour => (hour < 11.5 ? 'sun' : 'shade'));
const afternoon = spot('fence', hour => (hour < 11 ? 'shade' : 'sun'));
const noon = spot('hive stand', hour => (hour >= 10 && hour < 14 ? 'sun' : 'shade'));

describe('the moving plan', () => {
  it('goes where the sun is when the shade comes, and says what that brings', () => {
    const plan = movingPlan([morning, afternoon], 'step', at(8), UNTIL)!;
    expect(plan.steps).toEqual([
      { spot: 'step', fromMs: at(8) },
      { spot: 'fence', fromMs: at(11.5) },
    ]);
    expect(plan.against).toBe('step');
    // Six and a half hours of 170 W more, less five minutes on the way.
    expect(plan.gainWh).toBeCloseTo(6.5 * 170 - 200 / 12, 0);
    // The best single spot is the fence all day.
    expect(plan.overBestWh).toBeCloseTo(3 * 170 - 170 / 2 - 200 / 12 + 170 / 2, 0);
  });

  it('goes at once where the shade is here already', () => {
    const plan = movingPlan([morning, afternoon], 'step', at(13) + 7 * 60_000, UNTIL)!;
    expect(plan.steps).toEqual([{ spot: 'fence', fromMs: at(13) + 7 * 60_000 }]);
  });

  it('carries at whole quarters of an hour, at most twice', () => {
    const early = spot('step', hour => (hour < 10 ? 'sun' : 'shade'));
    const late = spot('fence', hour => (hour >= 14 ? 'sun' : 'shade'));
    const plan = movingPlan([early, late, noon, afternoon], 'step', at(8) + 3 * 60_000, UNTIL)!;
    expect(plan.steps.length).toBeLessThanOrEqual(3);
    for (const { fromMs } of plan.steps.slice(1)) expect(fromMs % (HOUR_MS / 4)).toBe(0);
  });

  it('stays where a walk brings too little', () => {
    const alike = spot('fence', hour => (hour < 17.9 ? 'sun' : 'shade'));
    const same = spot('step', hour => (hour < 17.8 ? 'sun' : 'shade'));
    expect(movingPlan([same, alike], 'step', at(8), UNTIL)).toBeNull();
    expect(movingPlan([afternoon, morning], 'fence', at(12), UNTIL)).toBeNull();
  });

  it('counts hours nobody saw as shade where one would go, and as sun where one stands', () => {
    const unseen = spot('fence', hour => (hour < 12 ? 'unknown' : 'shade'));
    expect(movingPlan([morning, unseen], 'step', at(8), UNTIL)).toBeNull();
    const unseenHere = spot('step', () => 'unknown');
    expect(movingPlan([unseenHere, afternoon], 'step', at(12), UNTIL)).toBeNull();
  });

  it('sends nobody to a spot of which too little is known', () => {
    const thin = spot('fence', hour => (hour > 16 ? 'sun' : 'unknown'));
    expect(movingPlan([morning, thin], 'step', at(8), UNTIL)).toBeNull();
  });

  it('begins at the best spot where nobody knows where panels stand, and needs two spots', () => {
    const plan = movingPlan([morning, afternoon], null, at(8), UNTIL)!;
    expect(plan.steps.map(({ spot: of }) => of)).toEqual(['step', 'fence']);
    expect(plan.against).toBe('fence');
    expect(movingPlan([morning], 'step', at(8), UNTIL)).toBeNull();
  });

  it('takes the same panels to give the same everywhere', () => {
    const dusty = spot('step', () => 'sun', 180);
    const clean = spot('fence', () => 'sun', 220);
    expect(movingPlan([dusty, clean], 'step', at(8), UNTIL)).toBeNull();
  });
});
