/**
 * A Gaussian belief over some numbers, corrected by one linear observation at a time (C. Bishop, Pattern Recognition and
 * Machine Learning, 2006, eq. 3.50-3.51; R. Kalman, J. Basic Eng. 82 (1960) 35). The covariance lies row by row.
 */

export interface LinearBelief {
  mean: number[];
  covariance: number[];
}

/** Σ x: covariance of the numbers with a weighted sum of them. */
export function withSum({ mean, covariance }: LinearBelief, x: ArrayLike<number>): number[] {
  const n = mean.length;
  const out = new Array<number>(n).fill(0);
  for (let j = 0; j < n; j++) {
    if (x[j] === 0) continue;
    for (let i = 0; i < n; i++) out[i]! += covariance[n * i + j]! * x[j]!;
  }
  return out;
}

export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/**
 * One observation y = x · mean + noise: mean and covariance are moved in place. A surprise counts four deviations at most.
 *
 * @param sure x without its own noise, where x is measured: what is learned goes along it (instrumental variables, W. Fuller,
 *   Measurement Error Models, 1987, sec. 1.4; from memory)
 */
export function observe(belief: LinearBelief, x: ArrayLike<number>, y: number, variance: number, sure = x): void {
  const { mean, covariance } = belief;
  const n = mean.length;
  const px = withSum(belief, sure);
  const spread = dot(sure, px) + variance;
  const limit = 4 * Math.sqrt(spread);
  const surprise = Math.min(limit, Math.max(-limit, y - dot(x, mean)));
  for (let i = 0; i < n; i++) {
    const gain = px[i]! / spread;
    mean[i] = mean[i]! + gain * surprise;
    for (let j = 0; j < n; j++) covariance[n * i + j] = covariance[n * i + j]! - gain * px[j]!;
  }
}

/** Lower triangle L of a covariance, L Lᵀ = it, row by row (A.-L. Cholesky). */
export function cholesky(covariance: ArrayLike<number>, n: number): number[] {
  const l = new Array<number>(n * n).fill(0);
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let sum = covariance[n * i + j]!;
      for (let k = 0; k < j; k++) sum -= l[n * i + k]! * l[n * j + k]!;
      l[n * i + j] = i === j ? Math.sqrt(Math.max(1e-15, sum)) : sum / l[n * j + j]!;
    }
  return l;
}
