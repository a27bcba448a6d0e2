/**
 * What could be added: for how long a source must bring its watts, from now on, until the target is reached in so many
 * of twenty. What the battery cannot take, or holds already, does not count.
 */
import { type AskDots, chancesOf, SURE } from './chances.ts';
import { greatest } from './search.ts';

export type AddedSource = 'generator' | 'vehicle' | 'wall';

/** Watts into the station where the owner has told none: common practice, no source. */
export const USUAL_W: Readonly<Record<AddedSource, number>> = { generator: 500, vehicle: 100, wall: 500 };

/**
 * Minutes, at most until the target; null where even that is not enough, 0 where nothing is needed.
 *
 * @param targetMin minutes ahead
 */
export function addedMin(ask: AskDots, targetMin: number, powerW: number, chances = SURE): number | null {
  const reaches = (minutes: number) =>
    chancesOf(ask({ addedW: at => (at < minutes ? powerW : 0) }), targetMin) >= chances;
  if (!reaches(targetMin)) return null;
  const short = greatest(
    0,
    targetMin,
    () => Math.max(2, targetMin / 400),
    minutes => !reaches(minutes),
  );
  if (short === null) return 0;
  return Math.min(targetMin, short + Math.max(2, targetMin / 400));
}
