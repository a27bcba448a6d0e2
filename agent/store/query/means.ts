/**
 * Means by the minute or the quarter-hour, in packed columns: for whoever goes through months, where boxed numbers cost
 * more than reading them.
 */
import { WattkeepError } from '#kit';
import type { Means, MeansRequest } from '#messages';
import { type BucketColumn, LEVELS } from '../rollup.ts';
import type { Gather, Gathered } from './series.ts';

const NONE = new Float64Array();
const NO_COLUMN: BucketColumn = { count: NONE, min: NONE, max: NONE, sum: NONE };

/**
 * Columns of one question. Least values are nobody's here, greatest ones seldom, and counts are done with before the next
 * question: their room is used again, since a year is some hundred questions.
 */
function columnMaker(): (greatest: boolean) => (slots: number, isKnown: boolean) => BucketColumn {
  const rooms: Float64Array[] = [];
  return greatest => {
    let next = 0;
    return (slots, isKnown) => {
      if (!isKnown) return NO_COLUMN;
      const index = next++;
      const room = rooms[index];
      const count = room?.length === slots ? room.fill(0) : new Float64Array(slots);
      rooms[index] = count;
      return { count, min: NONE, max: greatest ? new Float64Array(slots) : NONE, sum: new Float64Array(slots) };
    };
  };
}

/** The answer may throw REQUEST_INVALID or CodecError. */
export function prepareMeans(gather: Gather): (request: MeansRequest) => Means {
  const columnsWith = columnMaker();
  return ({ station, quantities, fromMs, toMs, stepMs, greatest = false }) => {
    const level = LEVELS.find(candidate => candidate.stepMs === stepMs);
    if (level === undefined || fromMs % stepMs !== 0 || toMs <= fromMs)
      throw new WattkeepError(
        'REQUEST_INVALID',
        `Means of ${stepMs} ms from ${fromMs} to ${toMs} cannot be given.`,
        'Ask for whole minutes or quarter-hours, from < to.',
      );
    const plan = { startMs: fromMs, stepMs, count: Math.ceil((toMs - fromMs) / stepMs), level };
    const gathered = gather(station, quantities, plan, columnsWith(greatest)).filter(({ isKnown }) => isKnown);
    return Object.fromEntries(gathered.map(of => [of.key, columnOf(of, greatest)]));
  };
}

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
