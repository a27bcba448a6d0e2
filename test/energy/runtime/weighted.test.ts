import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createPick, pick, runningSums } from '#energy/estimates/runtime/weighted';

const UNIFORMS = Array.from({ length: 4096 }, (_, i) => i / 4096);

describe('an index drawn with weights', () => {
  it('is the first whose running sum lies beyond the drawn share of the whole', () => {
    const sums = runningSums(Float64Array.of(1, 0, 2, 5));
    expect([...sums]).toEqual([1, 1, 3, 8]);
    expect([0, 0.124, 0.125, 0.374, 0.375, 0.999].map(u => pick(sums, u))).toEqual([0, 0, 2, 2, 3, 3]);
  });
  it('is the same whether searched in all of them or between the guides', () => {
    const weight = fc.oneof(fc.constant(0), fc.double({ min: 0, max: 1, noNaN: true }), fc.constant(1e-12));
    fc.assert(
      fc.property(fc.array(weight, { minLength: 1, maxLength: 3000 }), weights => {
        const sums = runningSums(Float64Array.from(weights));
        const guided = createPick(sums);
        for (const u of UNIFORMS) if (guided(u) !== pick(sums, u)) throw new Error(`${u}: ${guided(u)}`);
      }),
      { numRuns: 20 },
    );
  });
});
