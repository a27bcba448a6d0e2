/**
 * Median errors where 75, 50, 25 and 10 % of a discharge's time are left (the λ of A. Saxena et al., 2010, counted from
 * the end): one projection a discharge, so that a long one does not drown the others. Percent of the true time.
 */
import { medianOf } from './median.ts';
import { absShareError } from './point-error.ts';
import type { Point } from './points.ts';

export interface ErrorsAtShares {
  '75': number | null;
  '50': number | null;
  '25': number | null;
  '10': number | null;
}

/** The projection nearest to a share stands for it, if it is this near. */
const NEAR_SHARE = 0.05;

export const errorPct = (point: Point): number[] =>
  point.midMin === null ? [] : [100 * absShareError(point.midMin, point.trueMin)];

export const finiteOr = (value: number | null): number | null =>
  value === null || Number.isFinite(value) ? value : null;

export function errorsAtShares(runs: readonly (readonly Point[])[]): ErrorsAtShares {
  const at = (share: number) => finiteOr(medianOf(runs.flatMap(run => nearest(run, share)).flatMap(errorPct)));
  return { '75': at(0.75), '50': at(0.5), '25': at(0.25), '10': at(0.1) };
}

function nearest(run: readonly Point[], share: number): Point[] {
  let best: Point | undefined;
  for (const point of run)
    if (best === undefined || Math.abs(point.leftShare - share) < Math.abs(best.leftShare - share)) best = point;
  return best !== undefined && Math.abs(best.leftShare - share) <= NEAR_SHARE ? [best] : [];
}
