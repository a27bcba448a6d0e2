import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { gapLimitMs, MILLIJ_PER_WH, pairEnergyMilliJ, splitWhole } from '#energy/integrate';

describe('energy from power', () => {
  // Worked by hand with the trapezoidal rule.
  it('is 50 Wh for 100 W held half an hour', () => {
    expect(pairEnergyMilliJ(100, 100, 1_800_000)! / MILLIJ_PER_WH).toBe(50);
  });
  it('is 25 Wh for a ramp from 0 to 100 W over half an hour', () => {
    expect(pairEnergyMilliJ(0, 100, 1_800_000)! / MILLIJ_PER_WH).toBe(25);
  });
  it('adds 60 one-minute steps of 0, 10, 20 … 600 W to 300 Wh', () => {
    let sum = 0;
    for (let i = 0; i < 60; i++) sum += pairEnergyMilliJ(i * 10, (i + 1) * 10, 60_000)!;
    expect(sum / MILLIJ_PER_WH).toBe(300);
  });
  it('is unknown, not zero, where an end is missing', () => {
    expect(pairEnergyMilliJ(null, 100, 1000)).toBeNull();
    expect(pairEnergyMilliJ(100, undefined, 1000)).toBeNull();
  });
  it('never exceeds the larger end held for the whole span', () => {
    fc.assert(
      fc.property(
        fc.float({ min: 0, max: 20_000, noNaN: true }),
        fc.float({ min: 0, max: 20_000, noNaN: true }),
        fc.integer({ min: 0, max: 300_000 }),
        (a, b, ms) => {
          expect(pairEnergyMilliJ(a, b, ms)!).toBeLessThanOrEqual(Math.ceil(Math.max(a, b) * ms));
        },
      ),
    );
  });
});

describe('the gap limit', () => {
  it.each([
    [1000, 10_000],
    [3000, 10_000],
    [5000, 15_000],
    [20_000, 60_000],
    [30_000, 75_000],
    [60_000, 150_000],
  ])('of a source every %i ms is %i ms', (interval, limit) => {
    expect(gapLimitMs(interval)).toBe(limit);
  });
});

describe('a split over midnight', () => {
  it('loses nothing and invents nothing', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 1e12 }),
        fc.array(fc.float({ min: Math.fround(0.001), max: Math.fround(0.999), noNaN: true }), { maxLength: 3 }),
        (amount, cuts) => {
          const parts = splitWhole(
            amount,
            [...cuts].sort((a, b) => a - b),
          );
          expect(parts.reduce((a, b) => a + b, 0)).toBe(amount);
          for (const part of parts) expect(part).toBeGreaterThanOrEqual(0);
        },
      ),
    );
  });
});
