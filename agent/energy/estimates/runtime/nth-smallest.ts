/** The n-th smallest of many numbers without sorting them all (C. Hoare, Algorithm 65: Find, Comm. ACM 4 (1961) 321). */

/** @param values those in use are put in another order @param n from 0; undefined where there are not so many */
export function nthSmallest(values: Float64Array, n: number): number | undefined {
  let low = 0;
  let high = values.length - 1;
  while (low < high) {
    const pivot = values[n]!;
    let i = low;
    let k = high;
    while (i <= k) {
      while (values[i]! < pivot) i++;
      while (values[k]! > pivot) k--;
      if (i > k) break;
      const held = values[i]!;
      values[i++] = values[k]!;
      values[k--] = held;
    }
    if (k < n) low = i;
    if (n < i) high = k;
  }
  return values[n];
}
