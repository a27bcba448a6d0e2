/**
 * How steady the sky is, told from within stretches without a move: the power beside the clear course is averaged over
 * blocks of 5, 10 and 20 s, and what neighbouring blocks differ by, less what scatter alone would make, gives the
 * variance of a random walk. The spread of changes of the clear-sky index as the measure of variability is that of T. Hoff and
 * R. Perez, Solar Energy 84 (2010) 1782 and R. Perez et al., Solar Energy 86 (2012) 2170 (from memory). Of neighbouring
 * block means of a random walk the variance is 2/3 of the block's length times the walk's.
 */
import type { Wander } from './asked.ts';

/** One value beside the clear course, about 1. */
export interface Beside {
  readonly atMs: number;
  readonly value: number;
}

const BLOCKS_S = [5, 10, 20] as const;
const OF_WALK = 2 / 3;
/** A clear sky seen for a while: some 0.25 % in a minute. Own judgement from measured clear days. */
export const CLEAR_SHARE = 0.0003;
/** What is taken as known of a sky before any of it was seen: this many looks at a clear one. */
const PRESUMED = 3;
/** Above this it is no steady sky: 1 % in a minute. */
export const UNSTEADY_SHARE = 0.0013;

function blockMeans(of: readonly Beside[], blockMs: number): { value: number; count: number; atMs: number }[] {
  const blocks: { value: number; count: number; atMs: number }[] = [];
  const end = of.at(-1)!.atMs;
  // Counted back from the end: what came last is never left over.
  for (let k = of.length - 1; k >= 0; k--) {
    const at = Math.floor((end - of[k]!.atMs) / blockMs);
    const block = blocks[at] ?? { value: 0, count: 0, atMs: end - (at + 0.5) * blockMs };
    blocks[at] = block;
    block.value += of[k]!.value;
    block.count++;
  }
  return blocks
    .filter(block => block !== undefined)
    .map(b => ({ ...b, value: b.value / b.count }))
    .reverse();
}

/** Variance of scatter from one value to the next, as second differences tell it, which a slope does not touch. */
function scatterVariance(of: readonly Beside[]): number {
  let sum = 0;
  for (let k = 2; k < of.length; k++) sum += (of[k]!.value - 2 * of[k - 1]!.value + of[k - 2]!.value) ** 2;
  return of.length < 3 ? 0 : sum / (6 * (of.length - 2));
}

/** The wander of one stretch, null where it is too short to tell. @param roundingVariance of a value, relative */
export function wanderOf(of: readonly Beside[], roundingVariance: number): Wander | null {
  let most: Wander | null = null;
  const scatter = Math.max(scatterVariance(of), roundingVariance);
  for (const blockS of BLOCKS_S) {
    const blocks = of.length < 4 ? [] : blockMeans(of, blockS * 1000);
    let [sum, count] = [0, 0];
    for (let k = 1; k < blocks.length; k++) {
      const [a, b] = [blocks[k - 1]!, blocks[k]!];
      const lagS = (b.atMs - a.atMs) / 1000;
      if (lagS > 3 * blockS || Math.min(a.count, b.count) * 2 < Math.max(a.count, b.count)) continue;
      const byScatter = scatter * (1 / a.count + 1 / b.count);
      sum += ((b.value - a.value) ** 2 - byScatter) / (lagS * OF_WALK);
      count++;
    }
    if (count === 0) continue;
    const share = Math.sqrt(Math.max(0, sum) / count);
    if (most === null || share > most.share) most = { share, freedom: count };
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
  of !== null && of.freedom >= 3 && of.share > UNSTEADY_SHARE * (1 + 1.5 / of.freedom);
