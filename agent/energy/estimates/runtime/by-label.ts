/**
 * What can be said before anything was learned: the label, what is usual for a station's losses, and the load of the
 * last minutes, which may well change. Wide on purpose (factors: own judgement), and told as what it is.
 */
import { LABEL_BELIEF } from '../gauge-belief.ts';
import type { TimeRange } from '../range-repair.ts';

const MORE = 1.8;
const LESS = 2.2;

/**
 * Minutes to the floor.
 *
 * @param leftWh energy of the label above the floor
 * @param loadW mean of what was seen
 */
export function byLabel(leftWh: number, loadW: number): TimeRange {
  const [outCost, ownW] = LABEL_BELIEF.mean;
  const minutes = (factor: number, own: number) => (60 * Math.max(0, leftWh)) / (outCost * loadW * factor + ownW * own);
  return { p10: minutes(MORE, 1.4), p50: minutes(1, 1), p90: minutes(1 / LESS, 0.6) };
}
