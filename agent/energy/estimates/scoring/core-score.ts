/**
 * What is asked of any foretold time: how far its middle was off, whether its range held and how wide that was, and how
 * often nothing was said. Shares from 0 to 1, errors in percent; null where nothing could be asked.
 */
import { type ErrorsAtShares, errorPct, errorsAtShares, finiteOr } from './at-shares.ts';
import { medianOf, shareOf } from './median.ts';
import { isWithin } from './point-error.ts';
import type { Point } from './points.ts';
import { holds, isEarlyMiss, widthShare } from './range-error.ts';

export interface CoreScore {
  points: number;
  /** Discharges, or charges. */
  runs: number;
  medianAbsPctError: ErrorsAtShares;
  /** Over all points at which something was said. */
  medianAbsPctErrorOverall: number | null;
  coverage80: number | null;
  /** Of all points: silence is a miss. */
  within10: number | null;
  within20: number | null;
  /** Truth before the promised time. */
  early: number | null;
  /** Median width over the true time; null also where half of the ranges have no end. */
  width: number | null;
  /** Of the points from an hour on. */
  silent: number | null;
}

const SPOKEN_MIN = 60;

/** @param runs the points of each stretch, in order of time */
export function coreScore(runs: readonly (readonly Point[])[], spokenMin = SPOKEN_MIN): CoreScore {
  const points = runs.flat();
  const ranged = points.flatMap(p => (p.range === null ? [] : [{ range: p.range, trueMin: p.trueMin }]));
  const within = (share: number) => shareOf(points.map(p => p.midMin !== null && isWithin(p.midMin, p.trueMin, share)));
  return {
    points: points.length,
    runs: runs.length,
    medianAbsPctError: errorsAtShares(runs),
    medianAbsPctErrorOverall: finiteOr(medianOf(points.flatMap(errorPct))),
    coverage80: shareOf(ranged.map(p => holds(p.range, p.trueMin))),
    within10: within(0.1),
    within20: within(0.2),
    early: shareOf(ranged.map(p => isEarlyMiss(p.range, p.trueMin))),
    width: finiteOr(medianOf(ranged.map(p => widthShare(p.range, p.trueMin)))),
    silent: shareOf(points.filter(p => p.sinceMin >= spokenMin).map(p => p.midMin === null)),
  };
}
