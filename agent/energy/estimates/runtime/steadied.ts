/**
 * A foretold moment that holds still while nothing new happens: each answer moves only part of the way from the last
 * one, the less the further ahead the moment lies (a seventh of what is left, three quarters of an hour at most, to come about two
 * thirds of the way). A change of what is asked, or of what is plugged in, starts anew.
 */
import type { TimeRange } from '../range-repair.ts';

const MINUTE_MS = 60_000;
const SHARE_OF_LEFT = 0.15;
const LONGEST_MIN = 45;
/** Nearer than this every minute counts: nothing is held back. */
const NEAR_MIN = 45;
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
      const steady = (now: number, then: number): number => {
        const gone = (at - before!.at) / MINUTE_MS;
        const carried = then - gone;
        if (!Number.isFinite(now) || !Number.isFinite(carried) || carried <= 0) return now;
        const paceMin = Math.min(LONGEST_MIN, SHARE_OF_LEFT * (now - NEAR_MIN));
        return paceMin <= 0 ? now : now + (carried - now) * Math.exp(-gone / paceMin);
      };
      const follows =
        before !== null && before.key === key && at >= before.at && at - before.at < STALE_MIN * MINUTE_MS;
      const told = follows
        ? {
            p10: steady(range.p10, before.range.p10),
            p50: steady(range.p50, before.range.p50),
            p90: steady(range.p90, before.range.p90),
          }
        : range;
      last = { at, key, range: told };
      return told;
    },
  };
}
