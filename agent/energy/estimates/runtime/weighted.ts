/** Drawing an index with weights: running sums once, a binary search a draw. */

/** Parts of the sum whose searches begin and end at indexes found before (guide table: H. Chen, Y. Asau, AIIE Trans. 6 (1974) 163, from memory). */
const GUIDES = 1024;

/** Running sums of the weights, in their place. */
export function runningSums(weights: Float64Array): Float64Array {
  let sum = 0;
  for (let i = 0; i < weights.length; i++) {
    sum += weights[i]!;
    weights[i] = sum;
  }
  return weights;
}

/** Index whose share of the sum holds `uniform` in [0, 1). */
export function pick(sums: Float64Array, uniform: number): number {
  const last = sums.length - 1;
  return firstBeyond(sums, uniform * sums[last]!, 0, last);
}

/** The same for many draws from long sums. */
export function createPick(sums: Float64Array): (uniform: number) => number {
  const last = sums.length - 1;
  const total = sums[last]!;
  const guides = new Int32Array(GUIDES + 1).fill(last);
  for (let g = 0, i = 0; g < GUIDES; g++) {
    while (i < last && sums[i]! <= (g / GUIDES) * total) i++;
    guides[g] = i;
  }
  return uniform => {
    const g = Math.floor(uniform * GUIDES);
    return firstBeyond(sums, uniform * total, guides[g]!, guides[g + 1]!);
  };
}

/** First index from `low` on whose sum is beyond the target; `high` where none before is. */
function firstBeyond(sums: Float64Array, target: number, low: number, high: number): number {
  let from = low;
  let to = high;
  while (from < to) {
    const mid = (from + to) >> 1;
    if (sums[mid]! > target) to = mid;
    else from = mid + 1;
  }
  return from;
}
