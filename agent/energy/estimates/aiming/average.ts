/**
 * The mean of a stretch and its standard error. The beginning is left out where the rest is the steadier without it
 * (MSER: K. P. White, Simulation 69 (1997) 323, from memory); neighbouring values hang together, so n values count as
 * n (1 − ρ) / (1 + ρ) with ρ the correlation of neighbours (first-order autoregression, G. Bayley and J. Hammersley,
 * J. Royal Stat. Soc. Suppl. 8 (1946) 184, from memory). Whole watts average out only where power scatters over them.
 */

export interface Average {
  /** Index of the first value that was averaged. */
  readonly from: number;
  readonly mean: number;
  readonly error: number;
}

/** At most this share of the beginning is left out. */
const LEAVES_OUT = 0.5;
const CORRELATION_MOST = 0.95;

/** Where to begin: the least standard error of the rest. */
function steadiestFrom(values: readonly number[]): number {
  let [sum, squares] = [0, 0];
  let best = { from: 0, score: Number.POSITIVE_INFINITY };
  for (let k = values.length - 1; k >= 0; k--) {
    sum += values[k]!;
    squares += values[k]! ** 2;
    const n = values.length - k;
    if (k > values.length * LEAVES_OUT || n < 4) continue;
    const score = Math.max(0, squares - sum ** 2 / n) / n ** 2;
    if (score <= best.score) best = { from: k, score };
  }
  return best.from;
}

/** Correlation of neighbours, 0 to 0.95. */
function correlation(values: readonly number[], mean: number): number {
  let [own, with_] = [0, 0];
  for (let k = 0; k < values.length; k++) {
    own += (values[k]! - mean) ** 2;
    if (k > 0) with_ += (values[k]! - mean) * (values[k - 1]! - mean);
  }
  if (own === 0) return 0;
  // A short row tells too little of it: pulled up by 1/√n.
  return Math.min(CORRELATION_MOST, Math.max(0, with_ / own + 1 / Math.sqrt(values.length)));
}

/** @param values in order, evenly spaced or nearly so @param step the resolution they were told in */
export function averageOf(values: readonly number[], step: number): Average {
  const from = steadiestFrom(values);
  const kept = values.slice(from);
  const n = kept.length;
  const mean = kept.reduce((sum, v) => sum + v, 0) / n;
  const variance = n < 2 ? step ** 2 : kept.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (n - 1);
  const rho = correlation(kept, mean);
  const effective = Math.max(1, (n * (1 - rho)) / (1 + rho));
  return { from, mean, error: Math.sqrt(variance / effective + roundingLeft(step, Math.sqrt(variance)) ** 2) };
}

/** Rounding that is left in a mean: all of step/√12 on a still value, little where scatter spans the steps. */
function roundingLeft(step: number, scatter: number): number {
  const all = step / Math.sqrt(12);
  return all * Math.max(0.15, Math.exp(-2 * Math.PI ** 2 * (scatter / step) ** 2 * 0.5));
}
