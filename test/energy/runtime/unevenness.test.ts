import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createGauge } from '#energy/estimates/gauge';
import { freshGauge } from '#energy/estimates/gauge-belief';
import { cholesky, type LinearBelief, observe } from '#energy/estimates/linear-belief';
import { KNOTS, priorCovariance, weightsBetween } from '#energy/estimates/unevenness';

const MINUTE = 60_000;
const pct = fc.double({ min: 0, max: 100, noNaN: true });
const sum = (x: ArrayLike<number>) => Array.from(x).reduce((a, b) => a + b, 0);

describe('a belief corrected by what is observed', () => {
  it('goes half of the way where both are as sure, and is then twice as sure', () => {
    const belief: LinearBelief = { mean: [0], covariance: [1] };
    observe(belief, [1], 2, 1);
    expect(belief.mean[0]).toBeCloseTo(1, 12);
    expect(belief.covariance[0]).toBeCloseTo(0.5, 12);
  });
  it('shares what a sum told among its parts by how unsure each was', () => {
    const belief: LinearBelief = { mean: [0, 0], covariance: [3, 0, 0, 1] };
    observe(belief, [1, 1], 4, 1e-9);
    expect(belief.mean[0]).toBeCloseTo(3, 6);
    expect(belief.mean[1]).toBeCloseTo(1, 6);
  });
  it('has a root whose square it is', () => {
    expect(cholesky([4, 2, 2, 5], 2)).toEqual([2, 0, 1, 2]);
  });
});

describe('the unevenness of a gauge', () => {
  it('weighs a stretch by its length, and two that adjoin as the whole', () => {
    fc.assert(
      fc.property(pct, pct, pct, (a, b, c) => {
        const [low, mid, high] = [a, b, c].sort((x, y) => x - y) as [number, number, number];
        const whole = weightsBetween(low, high);
        const parts = [weightsBetween(low, mid), weightsBetween(mid, high)];
        expect(sum(whole)).toBeCloseTo(high - low, 9);
        whole.forEach((weight, k) => {
          expect(parts[0]![k]! + parts[1]![k]!).toBeCloseTo(weight, 9);
        });
      }),
    );
  });
  it('takes it that too much in one stretch is made up for in another', () => {
    const variance = (low: number, high: number) => {
      const w = weightsBetween(low, high);
      let v = 0;
      for (let i = 0; i < KNOTS; i++) for (let j = 0; j < KNOTS; j++) v += w[i]! * w[j]! * priorCovariance(i, j);
      return v;
    };
    // Twenty percents are surer of what they hold, percent for percent, than one; the hundred than twenty.
    expect(Math.sqrt(variance(40, 60)) / 20).toBeLessThan(Math.sqrt(variance(49.5, 50.5)));
    expect(Math.sqrt(variance(0, 100)) / 100).toBeLessThan(0.5 * (Math.sqrt(variance(40, 60)) / 20));
  });

  /** A gauge that goes through its percents at `holds` of the usual energy each, read every ten seconds. */
  const through = (holds: (pct: number) => number, fromPct: number, toPct: number) => {
    const gauge = createGauge(1000, freshGauge(true));
    let at = 0;
    let place = fromPct;
    for (; place > toPct; at += MINUTE / 6) {
      gauge.add({ at, outputW: 200, inputW: 0, stateOfChargePct: Math.round(place) });
      place -= (1.11 * 200 + 11) / 360 / 10 / holds(place);
    }
    return { gauge, place };
  };
  const needed = (holds: (pct: number) => number, high: number, low: number) => {
    let total = 0;
    for (let p = low; p < high; p += 0.01) total += 0.01 * holds(p);
    return total;
  };
  it('is learned: percents that have held more and more for a while go on so, and what lies ahead is told with it', () => {
    const wavy = (p: number) => 1 + 0.1 * Math.sin(((p - 20) / 70) * 2 * Math.PI);
    const { gauge, place } = through(wavy, 90, 50);
    const told = gauge.between(gauge.place()!.pct, 15.5);
    const [cost, own] = gauge.belief().mean;
    // Hours to go at the load, told against true; and what the map alone says.
    const trueHours = needed(wavy, place, 15.5) / (1.11 * 200 + 11);
    const error = (told.mapPct + told.addedPct) / (cost * 200 + own) / trueHours - 1;
    const blind = told.mapPct / (1.11 * 200 + 11) / trueHours - 1;
    expect(Math.abs(error)).toBeLessThan(0.05);
    expect(Math.abs(error)).toBeLessThan(0.6 * Math.abs(blind));
  });
  it('is nearly none where a gauge is even, and surer the more was seen', () => {
    const few = through(() => 1, 90, 80).gauge;
    const many = through(() => 1, 90, 40).gauge;
    const [early, late] = [few.between(39, 10.5), many.between(39, 10.5)];
    expect(Math.abs(late.addedPct)).toBeLessThan(1);
    expect(late.covariance[3]).toBeLessThan(early.covariance[3]);
  });
});
