import { describe, expect, it } from 'vitest';
import {
  alphaLambda,
  crpsShare,
  deciles,
  LEVELS,
  pinball,
  transformOf,
} from '#energy/estimates/scoring/distribution-error';
import { NORMAL_MIDDLE_CRPS, NORMAL_QUANTILES, PINBALLS, uniformCrps } from '../../reference/scoring.ts';

const NEVER = Number.POSITIVE_INFINITY;

describe('the pinball loss', () => {
  it.each(PINBALLS)('of $told at $level is $loss where $truth came true', ({ level, told, truth, loss }) => {
    expect(pinball(told, truth, level)).toBeCloseTo(loss, 12);
  });
});

describe('the CRPS from quantiles', () => {
  it('of one time told for certain is its error', () => {
    const certain = LEVELS.map(() => 80);
    expect(crpsShare(certain, 100, NEVER)).toBeCloseTo(0.2, 12);
    expect(crpsShare(certain, 64, NEVER)).toBeCloseTo(0.25, 12);
  });

  it('of a uniform comes within the coarseness of nineteen quantiles of the exact one', () => {
    // By hand in the middle: 2/19 · 2 · 165/400.
    expect(crpsShare(LEVELS, 0.5, NEVER) * 0.5).toBeCloseTo((2 / 19) * 0.825, 12);
    for (const y of [0.2, 0.5, 0.8])
      expect(Math.abs(crpsShare(LEVELS, y, NEVER) * y - uniformCrps(y))).toBeLessThan(0.01);
  });

  it('of a normal does too', () => {
    const z = [
      ...NORMAL_QUANTILES,
      ...NORMAL_QUANTILES.slice(0, 9)
        .reverse()
        .map(q => -q),
    ];
    const [mean, sd] = [100, 10];
    const found =
      (crpsShare(
        z.map(q => mean + sd * q),
        mean,
        NEVER,
      ) *
        mean) /
      sd;
    expect(Math.abs(found - NORMAL_MIDDLE_CRPS)).toBeLessThan(0.012);
  });

  it('counts a quantile that never comes as the end of what was looked at', () => {
    const never = LEVELS.map(() => NEVER);
    expect(crpsShare(never, 100, 300)).toBeCloseTo(2, 12);
  });
});

describe('the probability integral transform', () => {
  it('is the share of courses that got there in time', () => {
    const times = [10, 20, 30, 40];
    expect([5, 10, 25, 40, 99].map(truth => transformOf(times, truth))).toEqual([0, 0.25, 0.5, 1, 1]);
  });

  it('fills ten bins evenly where every transform is as likely', () => {
    const even = Array.from({ length: 200 }, (_, i) => (i + 0.5) / 200);
    for (const share of deciles(even)) expect(share).toBeCloseTo(0.1, 12);
    expect(deciles([1, 1, 0, 0.95])[9]).toBeCloseTo(0.75, 12);
  });
});

describe('alpha-lambda', () => {
  it('asks whether enough of the courses come near the truth', () => {
    const times = [70, 85, 100, 115, 130];
    expect(alphaLambda(times, 100, 0.2, 0.6)).toBe(true);
    expect(alphaLambda(times, 100, 0.2, 0.61)).toBe(false);
    expect(alphaLambda(times, 100, 0.1, 0.2)).toBe(true);
  });
});
