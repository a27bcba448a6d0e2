/**
 * How good one range is: whether it held, how wide it is, and both in one number. Minutes ahead.
 *
 * Interval score: T. Gneiting, A. Raftery, Strictly proper scoring rules, prediction, and estimation, J. Am. Stat. Assoc.
 * 102 (2007) 359, eq. 43: width + (2/α) · the distance by which it missed; here over the true time.
 */
import type { TimeRange } from '../range-repair.ts';

/** Misses promised by a range from p10 to p90. */
export const MISS_SHARE = 0.2;

export const holds = (range: TimeRange, trueMin: number): boolean => trueMin >= range.p10 && trueMin <= range.p90;

/** The truth came before the time that was promised. */
export const isEarlyMiss = (range: TimeRange, trueMin: number): boolean => trueMin < range.p10;

export const widthShare = (range: TimeRange, trueMin: number): number => (range.p90 - range.p10) / trueMin;

/** @param missShare α: the share of misses that the range promises */
export function intervalScore(range: TimeRange, trueMin: number, missShare = MISS_SHARE): number {
  const missed = Math.max(0, range.p10 - trueMin) + Math.max(0, trueMin - range.p90);
  return (range.p90 - range.p10 + (2 / missShare) * missed) / trueMin;
}
