import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sortRising } from '#energy/estimates/runtime/rising';

const sorted = (numbers: ArrayLike<number>) => {
  const row = Float32Array.from(numbers);
  sortRising(row);
  return row;
};

describe('a row put in rising order', () => {
  it('is what the plain sort makes of it, however its numbers lie', () => {
    const level = fc.float({ min: 0, max: 2048, noNaN: true });
    fc.assert(
      fc.property(fc.array(level, { minLength: 1, maxLength: 400 }), row => {
        expect(sorted(row)).toEqual(Float32Array.from(row).sort());
      }),
    );
  });
  it('is right where one lies far from all others, which then share a bucket', () => {
    const heap = Array.from({ length: 300 }, (_, i) => 1600 - ((i * 7919) % 300) / 1000);
    for (const outlier of [0, 1e6])
      expect(sorted([...heap, outlier])).toEqual(Float32Array.from([...heap, outlier]).sort());
  });
  it('stays as it is where all are alike, and one number is in order by itself', () => {
    expect(sorted(new Float32Array(300).fill(1640))).toEqual(new Float32Array(300).fill(1640));
    expect(sorted([3])).toEqual(Float32Array.of(3));
    expect(sorted([])).toEqual(new Float32Array(0));
  });
  it('touches nothing beside it in the same memory', () => {
    const rows = Float32Array.of(9, 8, 3, 1, 2, 7, 6);
    sortRising(rows.subarray(2, 5));
    expect(rows).toEqual(Float32Array.of(9, 8, 1, 2, 3, 7, 6));
  });
});
