import { describe, expect, it } from 'vitest';
import { type Guess, pointsIn } from '#energy/estimates/scoring/points';
import { createRecentPower } from '#energy/estimates/scoring/recent-power';
import { scoreOf } from '#energy/estimates/scoring/score';
import { usualDayWm2 } from '#energy/estimates/usual-day';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const stretch = { startAt: 0, endAt: 400 * MINUTE };
const guess = (min: number, midMin: number | null, halfMin = 0): Guess => ({
  at: min * MINUTE,
  midMin,
  range: midMin === null ? null : { p10: midMin - halfMin, p50: midMin, p90: midMin + halfMin },
});

describe('the score of a discharge of 400 minutes', () => {
  const run = pointsIn(
    [
      guess(-1, 7),
      guess(0, 1),
      guess(40, null),
      guess(100, 330, 50),
      guess(200, 150, 20),
      guess(300, 100, 10),
      guess(360, 60, 30),
      guess(396, 1),
      guess(400, 1),
    ],
    stretch,
  );
  const score = scoreOf([run]);

  it('asks from half an hour on until five minutes before the end', () => {
    expect([run.length, score.points, score.runs]).toEqual([7, 5, 1]);
  });

  it('tells the error at each share of the time left', () => {
    expect(score.medianAbsPctError).toEqual({ '75': 10, '50': 25, '25': 0, '10': 50 });
    expect(score.medianAbsPctErrorOverall).toBe(17.5);
  });

  it('counts silence as a miss, and as silence from an hour on', () => {
    expect(score.within10).toBe(2 / 5);
    expect(score.within20).toBe(2 / 5);
    expect(score.silent).toBe(0);
    expect(scoreOf([pointsIn([guess(40, null), guess(60, null), guess(90, 300)], stretch)]).silent).toBe(0.5);
  });

  it('tells how many ranges held, how many promised too much, and how wide they were', () => {
    // 300 in 280-380, 200 past 170, 100 in 90-110, 40 in 30-90.
    expect(score.coverage80).toBe(0.75);
    expect(score.early).toBe(0);
    expect(score.width).toBeCloseTo((0.2 + 1 / 3) / 2, 12);
    // Width of the second and ten times the 30 minutes it missed by.
    expect(score.intervalScore).toBeCloseTo((100 / 300 + (40 + 300) / 200 + 20 / 100 + 60 / 40) / 4, 12);
  });

  it('warns when the promised time falls to half an hour, wherever that is', () => {
    expect(score.warning30).toMatchObject({ of: 1, onTime: 1, tooEarly: 1, medianLeftMin: 400 });
    expect(scoreOf([run.slice(2)]).warning30).toMatchObject({ of: 1, onTime: 1, tooEarly: 0, medianLeftMin: 40 });
  });

  it('averages accuracy in each discharge first', () => {
    const other = pointsIn([guess(200, 200)], stretch);
    const first = (0.9 + 0.75 + 1 + 0.5) / 4;
    expect(scoreOf([run, other]).relativeAccuracy).toBeCloseTo((first + 1) / 2, 12);
  });

  it('is empty where nothing can be asked', () => {
    expect(scoreOf([])).toMatchObject({ points: 0, medianAbsPctErrorOverall: null, coverage80: null, driftMin: null });
  });
});

describe('the plain ways to guess', () => {
  it('divide what is left by the watts of the moment or of the last minutes', () => {
    const recent = createRecentPower();
    for (let min = 0; min < 60; min++) recent.add(min * MINUTE, min < 50 ? 100 : min < 58 ? 40 : 300, 0);
    const guesses = recent.guesses(60 * MINUTE, 300);
    expect(guesses.naive).toBe(60);
    expect(guesses.mean5).toBeCloseTo((60 * 300) / ((3 * 40 + 2 * 300) / 5), 9);
    expect(guesses.mean15).toBeCloseTo((60 * 300) / ((5 * 100 + 8 * 40 + 2 * 300) / 15), 9);
    expect(guesses.mean60).toBeCloseTo((60 * 300) / ((50 * 100 + 8 * 40 + 2 * 300) / 60), 9);
    expect(guesses.mean60Less).toBeCloseTo(0.85 * guesses.mean60!, 9);
    expect(guesses.hull).toEqual({ p10: guesses.mean5, p50: guesses.mean60, p90: guesses.mean15 });
  });

  it('take what comes in off, end at 99 hours, and are silent without a label', () => {
    const recent = createRecentPower();
    expect(recent.guesses(0, 300)).toMatchObject({ naive: null, mean60: null, hull: null });
    recent.add(0, 100, 40);
    expect(recent.guesses(1, 300).naive).toBe(300);
    expect(recent.guesses(1, null).naive).toBeNull();
    recent.add(1, 0, 0);
    expect(recent.guesses(2, 300).naive).toBe(99 * 60);
  });
});

describe('a usual day', () => {
  it('is light from half past six to half past six by the clock, most at half past twelve', () => {
    const at = (hour: number, zoneH = 0) => usualDayWm2(20_000 * 24 * HOUR + (hour - zoneH) * HOUR, zoneH * HOUR);
    expect([0, 6.5, 18.5, 23.9].map(hour => at(hour))).toEqual([0, 0, 0, 0]);
    expect(at(12.5)).toBeCloseTo(900, 9);
    expect(at(8.5)).toBeCloseTo(450, 9);
    expect(at(12.5, -7)).toBeCloseTo(900, 9);
    expect(at(12.5, 10)).toBeCloseTo(900, 9);
  });
});
