/**
 * The score of a replayed recording: every way of foretelling laid on the discharges and charges that came true in it,
 * so that the plain ways stand beside.
 */
import { type CoreScore, coreScore } from './core-score.ts';
import type { Stretch } from './passages.ts';
import { type Guess, type Point, pointsIn, within } from './points.ts';
import type { Told } from './replay.ts';
import { type Score, scoreOf } from './score.ts';

/** From the third minute of a charge until its last. */
const FILL_FROM_MIN = 2;
const FILL_UNTIL_MIN = 1;

export const WAYS = ['projection', 'stated', 'naive', 'mean5', 'mean15', 'mean60', 'mean60Less', 'hull'] as const;
export type Way = (typeof WAYS)[number];

export function guessBy(way: Way, told: Told): Guess {
  const { at, plain } = told;
  switch (way) {
    case 'projection':
      return {
        at,
        midMin: told.empty?.p50 ?? null,
        range: told.empty,
        quantiles: told.emptyQuantiles,
        beyondMin: told.horizonMin,
      };
    case 'stated':
      return { at, midMin: told.statedMin, range: null };
    case 'hull':
      return { at, midMin: plain.hull?.p50 ?? null, range: plain.hull };
    case 'naive':
    case 'mean5':
    case 'mean15':
    case 'mean60':
    case 'mean60Less':
      return { at, midMin: plain[way], range: null };
  }
}

/** Points of each discharge, by one way. */
export const runsBy = (way: Way, told: readonly Told[], discharges: readonly Stretch[]): Point[][] =>
  discharges.map(stretch =>
    pointsIn(
      told.map(t => guessBy(way, t)),
      stretch,
    ),
  );

export const scoreBy = (way: Way, told: readonly Told[], discharges: readonly Stretch[]): Score =>
  scoreOf(runsBy(way, told, discharges));

export function fillScore(told: readonly Told[], charges: readonly Stretch[]): CoreScore {
  const guesses = told.map(({ at, full }): Guess => ({ at, midMin: full?.p50 ?? null, range: full }));
  const runs = charges.map(stretch => within(pointsIn(guesses, stretch), FILL_FROM_MIN, FILL_UNTIL_MIN));
  return coreScore(runs, FILL_FROM_MIN);
}
