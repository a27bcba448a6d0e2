import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { absShareError, isWithin, relativeAccuracy } from '#energy/estimates/scoring/point-error';
import { holds, intervalScore, isEarlyMiss, widthShare } from '#energy/estimates/scoring/range-error';
import { INTERVAL_SCORES } from '../../reference/scoring.ts';

describe('the error of one time', () => {
  it('is a share of what was really left', () => {
    expect(absShareError(90, 100)).toBeCloseTo(0.1, 12);
    expect(absShareError(110, 100)).toBeCloseTo(0.1, 12);
    expect(absShareError(30, 10)).toBe(2);
    expect(absShareError(Number.POSITIVE_INFINITY, 10)).toBe(Number.POSITIVE_INFINITY);
  });

  it('is within a share, or within three minutes near the end', () => {
    expect(isWithin(110, 100, 0.1)).toBe(true);
    expect(isWithin(111, 100, 0.1)).toBe(false);
    expect(isWithin(9, 6, 0.1)).toBe(true);
    expect(isWithin(9.1, 6, 0.1)).toBe(false);
  });

  it('leaves an accuracy of 1 for the truth, and never less than 0', () => {
    expect(relativeAccuracy(100, 100)).toBe(1);
    expect(relativeAccuracy(75, 100)).toBe(0.75);
    expect(relativeAccuracy(300, 100)).toBe(0);
  });
});

describe('the error of one range', () => {
  const range = { p10: 6, p50: 9, p90: 14 };

  it('holds with both its ends, and misses early only before the promised time', () => {
    for (const truth of [6, 10, 14]) expect([holds(range, truth), isEarlyMiss(range, truth)]).toEqual([true, false]);
    expect([holds(range, 5.9), isEarlyMiss(range, 5.9)]).toEqual([false, true]);
    expect([holds(range, 14.1), isEarlyMiss(range, 14.1)]).toEqual([false, false]);
  });

  it('is as wide as its width over the truth', () => expect(widthShare(range, 16)).toBe(0.5));

  it.each(INTERVAL_SCORES)('scores $score minutes for a truth of $truth', ({ truth, score }) => {
    expect(intervalScore(range, truth, 0.2) * truth).toBeCloseTo(score, 12);
  });

  it('is never scored better than its width, and exactly so where it holds', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 1000, noNaN: true }), truth => {
        const [score, width] = [intervalScore(range, truth), widthShare(range, truth)];
        expect(score).toBeGreaterThanOrEqual(width);
        expect(Math.abs(score - width) < 1e-9).toBe(holds(range, truth));
      }),
    );
  });
});
