/**
 * How unevenly a gauge counts along its percents. What it shows lies off the truth by a curve that is smooth and pinned
 * at both ends, where full and empty are recognised; what a percent holds differs by that curve's slope, so that too
 * much in one stretch is made up for in another. The curve is taken as a Gaussian process, the slope as its derivative
 * (C. Rasmussen, C. Williams, Gaussian Processes for Machine Learning, 2006, eq. 9.1), kept at knots and straight between
 * them. Length and size: fitted to 96 recorded discharges of simulated gauges. Percent of the label a percent shown.
 */

export const KNOTS = 21;
const KNOT_PCT = 100 / (KNOTS - 1);
/** Percents over which the error of what is shown keeps its direction. */
const LENGTH_PCT = 22;
/** Standard deviation of what a percent holds. */
const SLOPE_SD = 0.045;

/** Covariance of the slopes at two knots before any tick. */
export function priorCovariance(i: number, j: number): number {
  const apart = ((i - j) * KNOT_PCT) / LENGTH_PCT;
  return SLOPE_SD ** 2 * (1 - apart ** 2) * Math.exp(-(apart ** 2) / 2);
}

/**
 * Weights of the knots in what a stretch holds more than its map says: ∫ of the straight lines between knots.
 *
 * @returns weights, percent; all nought where the stretch is empty
 */
export function weightsBetween(lowPct: number, highPct: number): Float64Array {
  const weights = new Float64Array(KNOTS);
  const low = Math.max(0, lowPct) / KNOT_PCT;
  const high = Math.min(100, highPct) / KNOT_PCT;
  for (let cell = Math.floor(low); cell < Math.min(KNOTS - 1, Math.ceil(high)); cell++) {
    const from = Math.max(0, low - cell);
    const to = Math.min(1, high - cell);
    if (to <= from) continue;
    const upper = ((to ** 2 - from ** 2) / 2) * KNOT_PCT;
    weights[cell]! += (to - from) * KNOT_PCT - upper;
    weights[cell + 1]! += upper;
  }
  return weights;
}
