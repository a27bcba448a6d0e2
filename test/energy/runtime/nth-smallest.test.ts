import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { nthSmallest } from '#energy/estimates/runtime/nth-smallest';

describe('the n-th smallest', () => {
  it('is what stands there once all are sorted, with equal ones among them', () => {
    const value = fc.oneof(fc.double({ noNaN: true }), fc.integer({ min: -3, max: 3 }));
    fc.assert(
      fc.property(fc.array(value, { minLength: 1, maxLength: 300 }), fc.nat(), (values, n) => {
        const at = n % values.length;
        const sorted = Float64Array.from(values).sort();
        // −0 and 0 are equal.
        expect(nthSmallest(Float64Array.from(values), at)! + 0).toBe(sorted[at]! + 0);
      }),
    );
  });
  it('is nothing where there are not so many', () => {
    expect(nthSmallest(new Float64Array(0), -1)).toBeUndefined();
    expect(nthSmallest(Float64Array.of(1), 1)).toBeUndefined();
  });
});
