/**
 * A foretold moment that holds still while nothing new happens: each answer moves only part of the way from the last
 * one, the less the further ahead the moment lies (a sixth of what is left, three quarters of an hour at most, to come
 * about two thirds of the way). A promise that falls by a third is told at once; a change of what is asked, or of what is
 * plugged in, starts anew.
 */
import type { TimeRange } from '../range-repair.ts';

const MINUTE_MS = 60_000;
const SHARE_OF_LEFT = 0.17;
const LONGEST_MIN = 45;
/** Nearer than this every minute counts: nothing is held back. */
const NEAR_MIN = 45;
/** A promised time (p10) less than this share of the one before is not held back: nobody should count on that. */
const FALLEN_SHARE = 0.67;
/** An answer so old is no guide. */
const STALE_MIN = 60;

export function createSteadied() {
  let last: { at: number; key: string; range: TimeRange } | null = null;
  return {
    /**
     * @param key what the answer depends on besides the readings; another one starts anew
     * @param range minutes ahead of `at`
     */
    of(at: number, key: string, range: TimeRange): TimeRange {
      const before = last;
      const gone = before === null ? 0 : (at - before.at) / MINUTE_MS;
      const steady = (now: number, then: number): number => {
        const carried = then - gone;
        if (!Number.isFinite(now) || !Number.isFinite(carried) || carried <= 0) return now;
        const paceMin = Math.min(LONGEST_MIN, SHARE_OF_LEFT * (now - NEAR_MIN));
        return paceMin <= 0 ? now : now + (carried - now) * Math.exp(-gone / paceMin);
      };
      const follows =
        before !== null && before.key === key && at >= before.at && at - before.at < STALE_MIN * MINUTE_MS;
      const told = follows
        ? {
            p10: range.p10 < FALLEN_SHARE * (before.range.p10 - gone) ? range.p10 : steady(range.p10, before.range.p10),
            p50: steady(range.p50, before.range.p50),
            p90: steady(range.p90, before.range.p90),
          }
        : range;
      last = { at, key, range: told };
      return told;
    },
  };
}
