/**
 * How much a foretold end moves about while time passes: minutes in ten minutes, the middle of all pairs of projections
 * that far apart. 0 where every projection names the same moment.
 */
import { medianOf } from './median.ts';

const MINUTE_MS = 60_000;
const APART_MIN = 10;
/** Pairs further apart than this tell of something else. */
const FURTHEST_MIN = 30;

export interface ToldEnd {
  at: number;
  /** Minutes ahead of `at`. */
  aheadMin: number;
}

/** @param told of one discharge, in order of time @returns one value a pair, min */
export function driftsOf(told: readonly ToldEnd[]): number[] {
  const drifts: number[] = [];
  let j = 0;
  for (const [i, from] of told.entries()) {
    while (j < told.length && (j <= i || told[j]!.at - from.at < APART_MIN * MINUTE_MS)) j++;
    const to = told[j];
    if (to === undefined) break;
    const apartMin = (to.at - from.at) / MINUTE_MS;
    const moved = Math.abs(to.aheadMin + apartMin - from.aheadMin);
    if (apartMin <= FURTHEST_MIN && Number.isFinite(moved)) drifts.push((moved * APART_MIN) / apartMin);
  }
  return drifts;
}

/** Median minutes in ten minutes; null without a pair. */
export const driftMin = (drifts: readonly number[]): number | null => medianOf(drifts);
