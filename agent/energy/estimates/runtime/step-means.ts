/**
 * Mean of as many values as a step has minutes, from each value on; at the end of as many as there are. A step of one
 * minute is the minute itself.
 */
export function stepMeans(values: Float64Array, stepMin: number): Float64Array {
  if (stepMin === 1) return values;
  const means = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) {
    const until = Math.min(values.length, i + stepMin);
    let sum = 0;
    for (let k = i; k < until; k++) sum += values[k]!;
    means[i] = sum / (until - i);
  }
  return means;
}
