import { expect, it } from 'vitest';
import { combined, effectiveFreedom, halfWidth95 } from '#energy/estimates/trials/coverage';
import { fitOf } from '#energy/estimates/trials/fit';
import { studentFactor } from '#energy/estimates/trials/student';
import {
  betweenTwo,
  fromScatter,
  joined,
  normalTerm,
  roundedTerms,
  scaled,
  withinLimits,
} from '#energy/estimates/trials/terms';
import { END_GAUGE, STUDENT, THERMOMETER, THREE_FACTORS } from '../../reference/gum.ts';

const termsOf = (of: readonly (readonly [number, number])[]) =>
  of.map(([u, freedom]) => fromScatter('scatter', u, freedom));

it('Student factors are those of the table, for whole degrees of freedom', () => {
  for (const [freedom, t95, t99] of STUDENT) {
    expect(studentFactor(0.95, freedom)).toBeCloseTo(t95, freedom === 1 ? 1 : 2);
    expect(Math.abs(studentFactor(0.99, freedom) - t99)).toBeLessThan(0.006);
  }
  expect(studentFactor(0.95, 1.5)).toBeGreaterThan(studentFactor(0.95, 2));
});

it('the end gauge of the guide: combined uncertainty, effective degrees of freedom, range of 99 %', () => {
  const terms = termsOf(END_GAUGE.terms);
  expect(Math.round(combined(terms))).toBe(END_GAUGE.combined);
  expect(Math.floor(effectiveFreedom(terms))).toBe(END_GAUGE.freedom);
  const factor = studentFactor(0.99, END_GAUGE.freedom);
  expect(factor).toBeCloseTo(END_GAUGE.factor99, 2);
  expect(Math.round(factor * END_GAUGE.combined)).toBe(END_GAUGE.expanded99);
});

it('three factors of the guide: the range of 95 % by Welch and Satterthwaite', () => {
  const terms = termsOf(THREE_FACTORS.terms);
  expect(combined(terms)).toBeCloseTo(THREE_FACTORS.combined, 2);
  expect(effectiveFreedom(terms)).toBeCloseTo(THREE_FACTORS.freedom, 0);
  expect(halfWidth95(terms)).toBeCloseTo(THREE_FACTORS.expanded95, 1);
});

it('the thermometer of the guide: a straight line with the uncertainty of what it foretells', () => {
  const { points, aboutC, scatter } = THERMOMETER;
  const fit = fitOf(
    points.map(([t]) => [1, t - aboutC]),
    points.map(([, b]) => b),
    points.map(() => 1),
  )!;
  expect(fit.coefficients[0]).toBeCloseTo(THERMOMETER.intercept, 4);
  expect(fit.coefficients[1]).toBeCloseTo(THERMOMETER.slope, 5);
  const s = Math.sqrt(fit.residuals.reduce((sum, r) => sum + r * r, 0) / (points.length - 2));
  expect(s).toBeCloseTo(scatter, 4);
  const deviation = (weights: readonly number[]) => s * Math.hypot(...weights);
  expect(deviation(fit.turns[0]!)).toBeCloseTo(THERMOMETER.interceptDeviation, 4);
  expect(deviation(fit.turns[1]!)).toBeCloseTo(THERMOMETER.slopeDeviation, 5);
  const at30 = fit.turns[0]!.map((turn, k) => turn + 10 * fit.turns[1]![k]!);
  expect(fit.coefficients[0]! + 10 * fit.coefficients[1]!).toBeCloseTo(THERMOMETER.at30, 3);
  expect(deviation(at30)).toBeCloseTo(THERMOMETER.at30Deviation, 4);
});

it('a range holds 95 % of what it is made of, whatever shape leads', () => {
  // Areas: 95 % of a rectangle of half-width 1, of a triangle, of digits rounded nobody knows how.
  expect(halfWidth95([withinLimits('meter', 1)])).toBeCloseTo(0.95, 2);
  expect(halfWidth95([betweenTwo('wholePercents', 1)])).toBeCloseTo(1 - Math.sqrt(0.05), 2);
  expect(halfWidth95([withinLimits('meter', 0.5), withinLimits('meter', 0.5)])).toBeCloseTo(1 - Math.sqrt(0.05), 2);
  expect(halfWidth95(roundedTerms('rounding', 1, 1, 0))).toBeCloseTo(0.925, 2);
  expect(halfWidth95([normalTerm('meter', 3), normalTerm('meter', 4)])).toBeCloseTo(5 * 1.96, 2);
  // Few readings beside a limit: wider than either way alone, narrower than both added.
  const both = halfWidth95([fromScatter('scatter', 1, 3), withinLimits('meter', 3)]);
  expect(both).toBeGreaterThan(3.18);
  expect(both).toBeLessThan(3.18 + 2.85);
  expect(halfWidth95([])).toBe(0);
});

it('causes that two figures share cancel in their difference as far as they are equal', () => {
  const a = [withinLimits('meter', 10, 'meter:one'), normalTerm('scatter', 3)];
  const b = [withinLimits('meter', 9.5, 'meter:one'), normalTerm('scatter', 4)];
  const difference = joined([...b, ...scaled(a, -1)]);
  expect(combined(difference)).toBeCloseTo(Math.hypot(5, 0.5 / Math.sqrt(3)), 6);
  const other = [withinLimits('meter', 9.5, 'meter:two'), normalTerm('scatter', 4)];
  expect(combined(joined([...other, ...scaled(a, -1)]))).toBeGreaterThan(9);
});

it('of whole digits with scatter over several of them only the way of rounding is left', () => {
  expect(roundedTerms('rounding', 1, 1, 2)).toHaveLength(1);
  expect(combined(roundedTerms('rounding', 1, 1, 0))).toBeCloseTo(0.5, 6);
  expect(combined(roundedTerms('rounding', 1, 1, 2))).toBeCloseTo(1 / Math.sqrt(6), 6);
});
