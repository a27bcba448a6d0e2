/**
 * How a chart's question is cut into equal buckets. Pure. Widths are round ones and buckets start at their multiples
 * since the epoch, so that a chart that moves on by a second does not flicker; the coarsest rollup that divides the
 * width serves it.
 */
import { WattkeepError } from '#kit';
import { LEVELS, type Level } from '../rollup.ts';

export const POINTS_MAX = 10_000;

const [SECOND_MS, MINUTE_MS, HOUR_MS, DAY_MS] = [1000, 60_000, 3_600_000, 86_400_000];
/** Round widths. From a quarter of an hour up all are multiples of it. */
const STEPS_MS: readonly number[] = [
  ...[1, 2, 5, 10, 20, 50, 100, 200, 500],
  ...[1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30].map(n => n * SECOND_MS),
  ...[1, 2, 3, 4, 5, 6, 10, 15, 30].map(n => n * MINUTE_MS),
  ...[1, 2, 3, 4, 6, 8, 12].map(n => n * HOUR_MS),
  ...Array.from({ length: 20 }, (_, power) => 2 ** power * DAY_MS),
];

export interface SeriesPlan {
  startMs: number;
  stepMs: number;
  count: number;
  /** null: only the readings themselves are fine enough. */
  level: Level | null;
}

/**
 * Throws REQUEST_INVALID for a span that is empty or a number of points outside 1 to POINTS_MAX.
 *
 * @param leastMs what every width is a multiple of
 */
export function planSeries(fromMs: number, toMs: number, points: number, leastMs = 1): SeriesPlan {
  if (!Number.isSafeInteger(fromMs) || !Number.isSafeInteger(toMs) || fromMs >= toMs) {
    throw new WattkeepError('REQUEST_INVALID', `from ${fromMs} to ${toMs} is not a span of time`, 'Ask from < to.');
  }
  if (!Number.isInteger(points) || points < 1 || points > POINTS_MAX) {
    throw new WattkeepError('REQUEST_INVALID', `${points} points cannot be given`, `Ask for 1 to ${POINTS_MAX}.`);
  }
  for (const stepMs of STEPS_MS) {
    const startMs = Math.floor(fromMs / stepMs) * stepMs;
    const count = Math.ceil((toMs - startMs) / stepMs);
    if (count > points || stepMs % leastMs !== 0) continue;
    const level = LEVELS.findLast(candidate => stepMs % candidate.stepMs === 0) ?? null;
    return { startMs, stepMs, count, level };
  }
  // One or two points over a span that straddles a round boundary: one bucket that just holds it.
  const stepMs = Math.ceil((toMs - fromMs) / DAY_MS + 1) * DAY_MS;
  return { startMs: Math.floor(fromMs / DAY_MS) * DAY_MS, stepMs, count: 1, level: LEVELS.at(-1)! };
}
