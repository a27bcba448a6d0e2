/**
 * What is likely to be used on average until the target, over likely courses of the load: what a budget is to be held
 * against. The mean of a day says little of a night. Watts, minutes ahead.
 */
import { createChance } from '../chance.ts';
import type { RareCycle } from '../plugged-in/rare-cycles.ts';
import { createLoadPaths } from '../runtime/load-paths.ts';
import type { Past } from '../runtime/minutes.ts';
import { unfamiliarSince } from '../runtime/regime.ts';
import { supposedLoad } from '../runtime/suppose.ts';
import { student4Quantile } from '../student-quantile.ts';

/** Mean watts until the target: one in ten below `lowW`, one in ten above `highW`. */
export interface LikelyLoad {
  lowW: number;
  middleW: number;
  highW: number;
}

const DRAWS = 60;
const MOST_STEPS = 480;
const SEED = 1;

/**
 * @param past freed of what is rare
 * @param rare big cycles hours apart, which come as they are due
 * @param isNew what is plugged in now is unlike anything before: only the time since then counts
 * @param offsetMin local minus universal time; null where the clock is not known
 * @returns null where nothing was recorded
 */
export function likelyLoad(
  past: Past,
  rare: readonly RareCycle[],
  isNew: boolean,
  nowMinute: number,
  targetMin: number,
  offsetMin: number | null = null,
): LikelyLoad | null {
  const stepMin = Math.max(1, Math.ceil(targetMin / MOST_STEPS));
  const steps = Math.max(1, Math.round(targetMin / stepMin));
  const sinceMinute = isNew ? (unfamiliarSince(past) ?? 0) : 0;
  const lastedMin = sinceMinute > 0 ? nowMinute - sinceMinute + 1 : null;
  const span = { nowMinute, horizonMin: targetMin, stepMin, steps };
  const plain = createLoadPaths(past, { ...span, sinceMinute, lastedMin, offsetMin });
  if (plain === null) return null;
  const draw = supposedLoad({ rare }, stepMin, plain, SEED);
  const chance = createChance(SEED);
  const watts = new Float64Array(steps);
  const means = Array.from({ length: DRAWS }, (_, i) => {
    draw(chance, watts, student4Quantile((i + 0.5) / DRAWS));
    return watts.reduce((sum, w) => sum + w, 0) / steps;
  }).sort((a, b) => a - b);
  const at = (p: number) => means[Math.floor(p * DRAWS)]!;
  return { lowW: at(0.1), middleW: at(0.5), highW: at(0.9) };
}
