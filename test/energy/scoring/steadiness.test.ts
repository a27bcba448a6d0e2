import { describe, expect, it } from 'vitest';
import { driftMin, driftsOf } from '#energy/estimates/scoring/drift';
import { medianOf, shareOf } from '#energy/estimates/scoring/median';
import { leftAtWarning, warningsOf } from '#energy/estimates/scoring/warning';

const MINUTE = 60_000;
const told = (...ends: [min: number, aheadMin: number][]) =>
  ends.map(([min, aheadMin]) => ({ at: min * MINUTE, aheadMin }));

describe('the drift of a foretold end', () => {
  it('is nothing where the end stays', () => {
    expect(driftMin(driftsOf(told([0, 100], [10, 90], [20, 80])))).toBe(0);
  });

  it('is how far the end moved, either way, in ten minutes', () => {
    expect(driftsOf(told([0, 100], [10, 94], [20, 80]))).toEqual([4, 4]);
    // A quarter of an hour is told as ten minutes.
    expect(driftsOf(told([0, 100], [15, 91]))).toEqual([4]);
  });

  it('pairs every projection with the first one ten minutes on', () => {
    const everyMinute = Array.from({ length: 13 }, (_, i): [number, number] => [i, i < 11 ? 100 - i : 50 - i]);
    expect(driftsOf(told(...everyMinute))).toEqual([0, 50, 50]);
  });

  it('leaves out what lies further apart, and what has no end', () => {
    expect(driftsOf(told([0, 100], [45, 50]))).toEqual([]);
    expect(driftsOf(told([0, Number.POSITIVE_INFINITY], [10, 90], [20, 80]))).toEqual([0]);
    expect(driftMin([])).toBeNull();
  });
});

describe('the warning at 30 minutes', () => {
  const run = (...points: [promisedMin: number | null, trueMin: number][]) =>
    leftAtWarning(points.map(([promisedMin, trueMin]) => ({ promisedMin, trueMin })));

  it('comes when the promised time first falls to 30 minutes', () => {
    expect(run([null, 80], [45, 60], [30, 41], [35, 36], [20, 30])).toBe(41);
    expect(run([60, 50], [50, 20], [31, 1])).toBe(0);
  });

  it('is on time with half an hour left, usable with a quarter, and too early before an hour and a half', () => {
    expect(warningsOf([0, 16, 30, 40, 91])).toEqual({
      of: 5,
      onTime: 3 / 5,
      usable: 4 / 5,
      tooEarly: 1 / 5,
      medianLeftMin: 30,
    });
    expect(warningsOf([]).onTime).toBeNull();
  });
});

describe('the median', () => {
  it('is the middle one, or between the middle two', () => {
    expect(medianOf([3, 1, 2])).toBe(2);
    expect(medianOf([4, 1, 2, 3])).toBe(2.5);
    expect(medianOf([1, Number.POSITIVE_INFINITY, 2])).toBe(2);
    expect([medianOf([]), shareOf([])]).toEqual([null, null]);
  });
});
