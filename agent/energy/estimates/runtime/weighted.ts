/** Drawing an index with weights: running sums once, a binary search a draw. */

/** Running sums of `weight(0) … weight(n − 1)`. */
export function runningSums(n: number, weight: (i: number) => number): Float64Array {
  const sums = new Float64Array(n);
  let sum = 0;
  for (let i = 0; i < n; i++) {
    sum += weight(i);
    sums[i] = sum;
  }
  return sums;
}

/** Index whose share of the sum holds `uniform` in [0, 1). */
export function pick(sums: Float64Array, uniform: number): number {
  const target = uniform * sums[sums.length - 1]!;
  let low = 0;
  let high = sums.length - 1;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (sums[mid]! > target) high = mid;
    else low = mid + 1;
  }
  return low;
}
