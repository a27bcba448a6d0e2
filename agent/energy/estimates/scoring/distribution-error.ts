/**
 * How good a whole distribution is, told by quantiles at even levels or by equally likely courses. Minutes ahead, scores
 * over the true time.
 *
 * Pinball loss: R. Koenker, G. Bassett, Econometrica 46 (1978) 33. CRPS as twice its mean over the levels: T. Gneiting,
 * R. Ranjan, J. Business & Economic Statistics 29 (2011) 411, eq. 8. Probability integral transform: A. P. Dawid, J. Royal
 * Stat. Soc. A 147 (1984) 278. Alpha-lambda with a share of the mass: A. Saxena et al. (2010), as in point-error.ts, eq. 16.
 */

/** 5 %, 10 % … 95 %. */
export const LEVELS: readonly number[] = Array.from({ length: 19 }, (_, i) => (i + 1) / 20);

/** ρ(τ) = (true − told) · τ where it came later than told, (told − true) · (1 − τ) where earlier. */
export const pinball = (toldMin: number, trueMin: number, level: number): number =>
  trueMin >= toldMin ? (trueMin - toldMin) * level : (toldMin - trueMin) * (1 - level);

/**
 * @param quantilesMin one a level of `LEVELS`
 * @param beyondMin what a quantile past the horizon counts as
 */
export function crpsShare(quantilesMin: readonly number[], trueMin: number, beyondMin: number): number {
  let sum = 0;
  for (const [i, level] of LEVELS.entries()) sum += pinball(Math.min(quantilesMin[i]!, beyondMin), trueMin, level);
  return (2 * sum) / LEVELS.length / trueMin;
}

/** Share of the courses that got there by the time that came true. @param timesMin rising */
export function transformOf(timesMin: ArrayLike<number>, trueMin: number): number {
  let before = 0;
  while (before < timesMin.length && timesMin[before]! <= trueMin) before++;
  return before / timesMin.length;
}

/** Shares of the values in ten equal bins from 0 to 1; a tenth each where ranges are honest. */
export function deciles(transforms: readonly number[]): number[] {
  const bins = new Array<number>(10).fill(0);
  for (const u of transforms) bins[Math.min(9, Math.floor(u * 10))]! += 1 / transforms.length;
  return bins;
}

/** Whether a share `beta` of the courses lies within `alpha` of the truth. */
export function alphaLambda(timesMin: ArrayLike<number>, trueMin: number, alpha: number, beta: number): boolean {
  let within = 0;
  for (let i = 0; i < timesMin.length; i++) if (Math.abs(timesMin[i]! - trueMin) <= alpha * trueMin) within++;
  return within >= beta * timesMin.length;
}
