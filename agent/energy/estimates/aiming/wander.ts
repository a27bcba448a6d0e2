/**
 * How steady the sky is, told from within stretches without a move: power beside the clear course, averaged over blocks
 * of five seconds, and what blocks differ by at 10, 20 and 40 s beyond what they differ by at five. Hunting and rounding
 * differ by the same at any lag, a wandering sky by more the longer it is: that gives the variance of a random walk. The
 * spread of changes of the clear-sky index as the measure of variability: T. Hoff and R. Perez, Solar Energy 84 (2010)
 * 1782, R. Perez et al., Solar Energy 86 (2012) 2170; the structure function: A. Kolmogorov (1941); from memory.
 */
import type { Wander } from './asked.ts';

/** One value beside the clear course, about 1. */
export interface Beside {
  readonly atMs: number;
  readonly value: number;
}

const BLOCK_MS = 5_000;
/** In blocks. */
const LAGS = [2, 4, 8] as const;
/** Times more at the longer lag than at the shortest before it is more than scatter; more where it rests on little. */
const grows = (freedom: number): number => 2 + 3 / freedom;
/** A clear sky seen for a while: some 0.25 % in a minute. Own judgement from measured clear days. */
export const CLEAR_SHARE = 0.0003;
/** What is taken as known of a sky before any of it was seen: this many looks at a clear one. */
const PRESUMED = 3;
/** Above this it is no steady sky: 1 % in a minute. */
export const UNSTEADY_SHARE = 0.0013;

/** Means of blocks by their place, counted back from the end: what came last is never left over. */
function blockMeans(of: readonly Beside[]): (number | null)[] {
  const sums: { sum: number; count: number }[] = [];
  const end = of.at(-1)!.atMs;
  for (const { atMs, value } of of) {
    const at = Math.floor((end - atMs) / BLOCK_MS);
    const block = sums[at] ?? { sum: 0, count: 0 };
    sums[at] = { sum: block.sum + value, count: block.count + 1 };
  }
  const fullest = Math.max(...Array.from(sums, block => block?.count ?? 0));
  return Array.from(sums, block => (block === undefined || 2 * block.count < fullest ? null : block.sum / block.count));
}

/** Mean square of what blocks so far apart differ by; null where there are none. */
function structure(blocks: readonly (number | null)[], lag: number): { square: number; pairs: number } | null {
  let [sum, pairs] = [0, 0];
  for (let k = lag; k < blocks.length; k++) {
    const [a, b] = [blocks[k - lag]!, blocks[k]!];
    if (a === null || b === null) continue;
    sum += (b - a) ** 2;
    pairs++;
  }
  return pairs === 0 ? null : { square: sum / pairs, pairs };
}

/** The wander of one stretch, null where it is too short to tell. @param roundingVariance of a value, relative */
export function wanderOf(of: readonly Beside[], roundingVariance: number): Wander | null {
  if (of.length < 3) return null;
  const blocks = blockMeans(of);
  const nearest = [1, 2].map(lag => structure(blocks, lag)).find(s => s !== null);
  if (nearest == null) return null;
  let most: Wander = { share: 0, freedom: 1 };
  for (const lag of LAGS) {
    const far = structure(blocks, lag);
    if (far === null) continue;
    const scatter = Math.max(nearest.square, 2 * roundingVariance);
    const lagS = (lag * BLOCK_MS) / 1000;
    const freedom = Math.max(1, Math.floor((blocks.length - 1) / lag));
    const beyond = far.square > grows(freedom) * scatter ? far.square - scatter : 0;
    const share = Math.sqrt(beyond / (lagS - BLOCK_MS / 1000));
    if (share > most.share || (most.share === 0 && freedom > most.freedom)) most = { share, freedom };
  }
  return most;
}

/** Wanders of several stretches and what is presumed of a clear sky, as one. */
export function together(of: readonly (Wander | null)[]): Wander {
  let [sum, freedom, most] = [PRESUMED * CLEAR_SHARE ** 2, PRESUMED, 0];
  for (const w of of) {
    if (w === null) continue;
    sum += w.freedom * w.share ** 2;
    freedom += w.freedom;
    if (w.freedom >= 2) most = Math.max(most, w.share);
  }
  return { share: Math.max(Math.sqrt(sum / freedom), 0.7 * most), freedom };
}

/** Whether a stretch alone shows that the sky is not steady. */
export const isUnsteady = (of: Wander | null): boolean =>
  of !== null && of.share > UNSTEADY_SHARE * (1 + 2.5 / of.freedom);
