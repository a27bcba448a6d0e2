/**
 * Power to energy over uneven, gappy samples: the trapezoidal rule over pairs of good readings no further apart than
 * the gap limit. Nothing is added over a gap, so energy is never invented.
 *
 * Energies are whole millijoules (1 W · 1 ms = 1 mJ): sums are exact and independent of order; ten years at 5 kW stay
 * below 2^53.
 */

export const MILLIJ_PER_WH = 3_600_000;

/**
 * Largest distance of two readings that still count as unbroken, ms.
 *
 * max(10 s, 3 × interval); 2.5 × interval above 20 s, so that one lost row of a slow source is still a gap.
 *
 * @param intervalMs the source's expected interval
 */
export const gapLimitMs = (intervalMs: number): number =>
  intervalMs > 20_000 ? 2.5 * intervalMs : Math.max(10_000, 3 * intervalMs);

/**
 * Energy of one pair, mJ: (p0 + p1) / 2 · Δt, rounded to a whole mJ; null where either end is missing.
 *
 * @param p0W power at the start, W or null
 * @param p1W power at the end, W or null
 * @param spanMs Δt ≥ 0
 */
export function pairEnergyMilliJ(p0W: number | null | undefined, p1W: number | null | undefined, spanMs: number) {
  if (p0W == null || p1W == null) return null;
  return Math.round(((p0W + p1W) / 2) * spanMs);
}

/**
 * Splits a whole amount at fractions of a span so that the parts add up exactly.
 *
 * @param amount whole number
 * @param cuts increasing fractions in (0, 1)
 * @returns cuts.length + 1 whole numbers whose sum is `amount`
 */
export function splitWhole(amount: number, cuts: readonly number[]): number[] {
  const edges = [0, ...cuts.map(cut => Math.round(amount * cut)), amount];
  return edges.slice(1).map((edge, i) => edge - edges[i]!);
}
