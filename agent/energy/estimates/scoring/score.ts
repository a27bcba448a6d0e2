/**
 * How right the times to empty were, in the numbers that are published: the core of them, and how steady they were,
 * whether the warning came in time, and scores of the whole distribution over the true time. Points count from 30 minutes
 * after a discharge began until 5 minutes before it ended.
 */
import { finiteOr } from './at-shares.ts';
import { type CoreScore, coreScore } from './core-score.ts';
import { crpsShare, deciles, transformOf } from './distribution-error.ts';
import { driftsOf } from './drift.ts';
import { meanOf, medianOf } from './median.ts';
import { relativeAccuracy } from './point-error.ts';
import { type Point, within } from './points.ts';
import { intervalScore } from './range-error.ts';
import { leftAtWarning, WARN_MIN, type Warnings, warningsOf } from './warning.ts';

const FROM_MIN = 30;
const UNTIL_MIN = 5;
/** A quantile without an end counts as so many times the true time where no horizon is told. */
const BEYOND = 6;

export interface Score extends CoreScore {
  warning30: Warnings;
  driftMin: number | null;
  /** Mean relative interval score of the ranges that have an end. */
  intervalScore: number | null;
  crps: number | null;
  /** Cumulative relative accuracy: its mean in each discharge, and over these. */
  relativeAccuracy: number | null;
  /** Shares of the truths in each tenth of the distribution; null without one. */
  pitDeciles: number[] | null;
}

/** @param runs all points of each discharge, in order of time */
export function scoreOf(runs: readonly (readonly Point[])[]): Score {
  const scored = runs.map(run => within(run, FROM_MIN, UNTIL_MIN));
  const points = scored.flat();
  const said = (run: readonly Point[]) => run.flatMap(p => (p.midMin === null ? [] : { ...p, midMin: p.midMin }));
  const transforms = points.flatMap(p => (p.quantiles == null ? [] : transformOf(p.quantiles, p.trueMin)));
  return {
    ...coreScore(scored),
    warning30: warningsOf(runs.flatMap(warnedLeft)),
    driftMin: medianOf(scored.flatMap(run => driftsOf(said(run).map(p => ({ at: p.at, aheadMin: p.midMin }))))),
    intervalScore: finiteOr(
      meanOf(points.flatMap(p => (p.range === null ? [] : intervalScore(p.range, p.trueMin))).filter(Number.isFinite)),
    ),
    crps: meanOf(
      points.flatMap(p =>
        p.quantiles == null ? [] : crpsShare(p.quantiles, p.trueMin, p.beyondMin ?? BEYOND * p.trueMin),
      ),
    ),
    relativeAccuracy: meanOf(
      scored.flatMap(run => meanOf(said(run).map(p => relativeAccuracy(p.midMin, p.trueMin))) ?? []),
    ),
    pitDeciles: transforms.length === 0 ? null : deciles(transforms),
  };
}

/** Discharges too short to be spoken of before the warning is due are not asked. */
function warnedLeft(run: readonly Point[]): number[] {
  const first = run[0];
  if (first === undefined || first.trueMin + first.sinceMin < FROM_MIN + WARN_MIN) return [];
  return [leftAtWarning(run.map(p => ({ promisedMin: p.range?.p10 ?? p.midMin, trueMin: p.trueMin })))];
}
