import { describe, expect, it } from 'vitest';
import { createFactors, FACTOR_BITS, levelFactors, wholeSteps } from '#energy/estimates/runtime/level-factors';

const SPREAD = Float64Array.from({ length: 2880 }, (_, i) => 0.05 + 0.2 * Math.sqrt(i / 2880));
const factors = (score: number, steps: number) => {
  const into = createFactors(steps);
  levelFactors(into, SPREAD, score, steps);
  return into;
};

describe('factors of the level', () => {
  it('are one where the course lies in the middle, and grow with where it lies and how far ahead', () => {
    expect([...factors(0, 2880)].every(f => f === 1)).toBe(true);
    const high = factors(1.5, 2880);
    expect(high[0]).toBeCloseTo(Math.exp(1.5 * SPREAD[4]!), 12);
    for (let i = 1; i < high.length; i++) expect(high[i]!).toBeGreaterThanOrEqual(high[i - 1]!);
  });
  it('are the same ones at the beginning of a course drawn only so far', () => {
    const all = factors(-0.7, 2880);
    for (const steps of [100, 161, 900].map(wholeSteps))
      expect(factors(-0.7, steps)).toEqual(all.slice(0, steps >> FACTOR_BITS));
  });
  it('reach to the last step of a course that ends within a stretch', () => {
    const cut = factors(1, 171);
    expect(cut).toHaveLength(22);
    expect(cut[170 >> FACTOR_BITS]!).toBeCloseTo(Math.exp(SPREAD[(160 + 171) >> 1]!), 12);
  });
});
