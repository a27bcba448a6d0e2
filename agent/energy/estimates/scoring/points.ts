/** What was said at instants, and what came true of it: guesses laid on the stretches of a recording. Minutes ahead. */
import type { TimeRange } from '../range-repair.ts';
import type { Stretch } from './passages.ts';

const MINUTE_MS = 60_000;

/** What one way of foretelling said at one instant. */
export interface Guess {
  at: number;
  /** null where nothing was said. */
  midMin: number | null;
  /** null where no range was given. */
  range: TimeRange | null;
  /** At `LEVELS`, where a whole distribution was given. */
  quantiles?: readonly number[] | null;
  /** What a quantile that never comes counts as, min. */
  beyondMin?: number;
}

/** A guess with what came true. */
export interface Point extends Guess {
  trueMin: number;
  sinceMin: number;
  /** Of the whole stretch, what is left: 1 at its start. */
  leftShare: number;
}

/** The guesses that fall into a stretch. */
export const pointsIn = (guesses: readonly Guess[], stretch: Stretch): Point[] =>
  guesses
    .filter(guess => guess.at >= stretch.startAt && guess.at < stretch.endAt)
    .map(guess => ({
      ...guess,
      trueMin: (stretch.endAt - guess.at) / MINUTE_MS,
      sinceMin: (guess.at - stretch.startAt) / MINUTE_MS,
      leftShare: (stretch.endAt - guess.at) / (stretch.endAt - stretch.startAt),
    }));

/** From some minutes after the start until some before the end. */
export const within = (points: readonly Point[], fromMin: number, untilMin: number): Point[] =>
  points.filter(point => point.sinceMin >= fromMin && point.trueMin >= untilMin);
