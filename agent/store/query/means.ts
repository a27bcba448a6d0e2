/**
 * Means by the minute or the quarter-hour, in packed columns: for whoever goes through months, where boxed numbers cost
 * more than reading them.
 */
import { WattkeepError } from '#kit';
import type { Means, MeansRequest } from '#messages';
import { type BucketColumn, LEVELS } from '../rollup.ts';
import type { Gather, Gathered } from './series.ts';

const NONE = new Float64Array();

/** Least values are nobody's here, and greatest ones seldom. */
const columnWith =
  (greatest: boolean) =>
  (slots: number): BucketColumn => ({
    count: new Float64Array(slots),
    min: NONE,
    max: greatest ? new Float64Array(slots) : NONE,
    sum: new Float64Array(slots),
  });

/** The answer may throw REQUEST_INVALID or CodecError. */
export const prepareMeans =
  (gather: Gather) =>
  ({ station, quantities, fromMs, toMs, stepMs, greatest = false }: MeansRequest): Means => {
    const level = LEVELS.find(candidate => candidate.stepMs === stepMs);
    if (level === undefined || fromMs % stepMs !== 0 || toMs <= fromMs)
      throw new WattkeepError(
        'REQUEST_INVALID',
        `Means of ${stepMs} ms from ${fromMs} to ${toMs} cannot be given.`,
        'Ask for whole minutes or quarter-hours, from < to.',
      );
    const plan = { startMs: fromMs, stepMs, count: Math.ceil((toMs - fromMs) / stepMs), level };
    const gathered = gather(station, quantities, plan, columnWith(greatest)).filter(({ isKnown }) => isKnown);
    return Object.fromEntries(gathered.map(of => [of.key, columnOf(of, greatest)]));
  };

function columnOf({ column, perUnit }: Gathered, greatest: boolean) {
  const { count, sum, max } = column;
  // The sums and greatest values are nobody else's.
  for (let slot = 0; slot < count.length; slot++) {
    const values = count[slot]!;
    sum[slot] = values === 0 ? Number.NaN : sum[slot]! / values / perUnit;
    if (greatest) max[slot] = values === 0 ? Number.NaN : max[slot]! / perUnit;
  }
  return { mean: sum, max: greatest ? max : NONE };
}
