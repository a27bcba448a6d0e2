/**
 * Quantile of Student's t with four degrees of freedom, which has a closed form (W. T. Shaw, J. Comput. Finance 9 (2006)
 * 37, from memory): heavier tails than the normal, as levels of household load have.
 */

/** @param p probability strictly between 0 and 1 */
export function student4Quantile(p: number): number {
  const root = Math.sqrt(4 * p * (1 - p));
  const q = Math.cos(Math.acos(Math.min(1, root)) / 3) / root;
  return Math.sign(p - 0.5) * 2 * Math.sqrt(Math.max(0, q - 1));
}
