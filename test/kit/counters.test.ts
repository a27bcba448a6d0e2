import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CounterRules, counterStep, countOn, mostWh, NOTHING_COUNTED } from '#kit';

const MINUTE_MS = 60_000;
/** 16 bits of Wh in a station of 600 W: it runs over once in 109 hours of full power. */
const RULES: CounterRules = { wrapWh: 65_536, ratedPowerW: 600, stepWh: 1 };
const step = (beforeWh: number, nowWh: number, elapsedMs = 10 * MINUTE_MS, rules = RULES) =>
  counterStep({ valueWh: beforeWh, atMs: 0 }, { valueWh: nowWh, atMs: elapsedMs }, rules);

describe('a counter', () => {
  it('counts what was added', () => {
    expect(step(1000, 1040)).toEqual({ kind: 'counted', energyWh: 40 });
    expect(step(1000, 1000)).toEqual({ kind: 'counted', energyWh: 0 });
  });

  it('ran over where a drop is near the top and what it implies could have passed', () => {
    expect(step(65_500, 14)).toEqual({ kind: 'wrapped', energyWh: 50 });
  });

  it('began again where what a wrap implies could not have passed, or its width is not known', () => {
    expect(step(30_000, 10)).toEqual({ kind: 'reset', energyWh: null });
    expect(step(65_500, 14, MINUTE_MS)).toEqual({ kind: 'reset', energyWh: null });
    expect(step(65_500, 14, 10 * MINUTE_MS, { ...RULES, wrapWh: null })).toEqual({ kind: 'reset', energyWh: null });
    expect(step(70_000, 3)).toEqual({ kind: 'reset', energyWh: null });
  });

  it('says nothing of a gap in which it could have run over once and more', () => {
    const wrapMs = (65_536 / (600 * 1.2)) * 3_600_000;
    expect(step(100, 200, wrapMs)).toEqual({ kind: 'unknown', energyWh: null });
    expect(step(100, 200, wrapMs * 0.99).kind).toBe('counted');
  });

  it('says nothing of a jump that could not have passed, or of time that ran back', () => {
    expect(step(1000, 9000)).toEqual({ kind: 'unknown', energyWh: null });
    expect(step(1000, 1001, -1)).toEqual({ kind: 'unknown', energyWh: null });
  });
});

/** Power over time and what happens to the counter meanwhile. */
const life = fc.record({
  startWh: fc.nat(65_535),
  steps: fc.array(
    fc.record({
      waitMs: fc.integer({ min: 1000, max: 3_600_000 }),
      share: fc.double({ min: 0, max: 1, noNaN: true }),
      event: fc.constantFrom('none', 'none', 'none', 'none', 'reset', 'missing'),
    }),
    { maxLength: 60 },
  ),
  wrapWh: fc.constantFrom(1000, 4096, 65_536),
});

interface Lived {
  trueWh: number;
  elapsedMs: number;
  counted: ReturnType<typeof countOn>;
  totals: number[];
}

function live({
  startWh,
  steps,
  wrapWh,
}: {
  startWh: number;
  steps: { waitMs: number; share: number; event: string }[];
  wrapWh: number;
}): Lived {
  const rules = { ...RULES, wrapWh };
  let [exactWh, baseWh, elapsedMs, trueWh] = [0, startWh % wrapWh, 0, 0];
  const shown = (): number => Math.floor(baseWh + exactWh) % wrapWh;
  let counted = countOn(NOTHING_COUNTED, shown(), 0, rules);
  const totals = [0];
  for (const { waitMs, share, event } of steps) {
    const addedWh = (RULES.ratedPowerW * share * waitMs) / 3_600_000;
    exactWh += addedWh;
    trueWh += addedWh;
    elapsedMs += waitMs;
    if (event === 'reset') [exactWh, baseWh] = [0, 0];
    counted = countOn(counted, event === 'missing' ? null : shown(), elapsedMs, rules);
    totals.push(counted.totalWh);
  }
  return { trueWh, elapsedMs, counted, totals };
}

describe('what a counter is believed', () => {
  it('is never negative, never goes down, and never more than could have passed', () => {
    fc.assert(
      fc.property(life, one => {
        const { totals, elapsedMs, counted } = live(one);
        for (const [i, total] of totals.entries()) expect(total).toBeGreaterThanOrEqual(totals[i - 1] ?? 0);
        const stepsWh = 2 * RULES.stepWh * one.steps.length;
        expect(counted.totalWh).toBeLessThanOrEqual(mostWh(RULES, elapsedMs) + stepsWh);
        expect(counted.unknownMs).toBeLessThanOrEqual(elapsedMs);
      }),
    );
  });

  it('is the truth to a step where it never began again and no gap was too long', () => {
    const steady = life.map(one => ({
      ...one,
      wrapWh: 65_536,
      steps: one.steps.map(each => ({ ...each, event: each.event === 'reset' ? 'none' : each.event })),
    }));
    fc.assert(
      fc.property(steady, one => {
        const { counted, trueWh } = live({ ...one, steps: [...one.steps, { waitMs: 1000, share: 0, event: 'none' }] });
        expect(counted.unknownMs).toBe(0);
        expect(Math.abs(counted.totalWh - trueWh)).toBeLessThanOrEqual(1);
      }),
    );
  });

  it('is less than the truth, never more, where it began again far from the top', () => {
    const far = life.map(one => ({
      ...one,
      wrapWh: 65_536,
      startWh: one.startWh % 20_000,
      steps: one.steps.slice(0, 20),
    }));
    fc.assert(
      fc.property(far, one => {
        const { counted, trueWh } = live(one);
        const resets = one.steps.filter(({ event }) => event === 'reset').length;
        expect(counted.totalWh).toBeLessThanOrEqual(trueWh + 1 + resets);
      }),
    );
  });
});
