/**
 * How much may be used: the greatest steady load under which the target is reached in so many of twenty courses, over
 * the joint spread of gauge and sun. The spread of the load itself is left out: it is what the owner decides.
 */
import { type Ask, chancesOf, dotsOf, SURE } from './chances.ts';
import { greatest } from './search.ts';

/** No portable station runs more for long. */
export const MOST_W = 5000;

/** W; null where even nothing plugged in does not reach it. @param targetMin minutes ahead */
export const budgetW = (ask: Ask, targetMin: number, chances = SURE): number | null =>
  greatest(
    0,
    MOST_W,
    w => Math.max(0.5, 0.01 * w),
    loadW => chancesOf(dotsOf(ask({ loadW })), targetMin) >= chances,
  );
