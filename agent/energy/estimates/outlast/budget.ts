/**
 * How much may be used: the greatest steady load under which the target is reached in so many of twenty courses, over
 * the joint spread of gauge and sun. The spread of the load itself is left out: it is what the owner decides.
 */
import { type AskDots, chancesOf, SURE } from './chances.ts';
import { greatest } from './search.ts';

/** No portable station runs more for long. */
export const MOST_W = 5000;
/** Tried first; doubled while it holds. */
const FIRST_W = 80;

/** W; null where even nothing plugged in does not reach it. @param targetMin minutes ahead */
export function budgetW(ask: AskDots, targetMin: number, chances = SURE): number | null {
  const holds = (loadW: number) => chancesOf(ask({ loadW }), targetMin) >= chances;
  let high = FIRST_W;
  while (high < MOST_W && holds(high)) high *= 2;
  return greatest(high === FIRST_W ? 0 : high / 2, Math.min(high, MOST_W), w => Math.max(0.5, 0.01 * w), holds);
}
