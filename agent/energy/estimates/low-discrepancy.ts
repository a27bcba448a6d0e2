/**
 * Points that fill the unit cube more evenly than random ones, so that a few hundred courses give quantiles that hold
 * still from one refresh to the next: the additive recurrence on the generalised golden ratio (M. Roberts, The
 * unreasonable effectiveness of quasirandom sequences, 2018; the recurrence itself: H. Weyl, Math. Ann. 77 (1916) 313).
 */

/** @returns the point with a number from 0, each coordinate in (0, 1) */
export function createPoints(dimensions: number): (index: number) => number[] {
  // The positive root of x^(d+1) = x + 1.
  let root = 1.5;
  for (let i = 0; i < 60; i++) root = (1 + root) ** (1 / (dimensions + 1));
  const steps = Array.from({ length: dimensions }, (_, j) => root ** -(j + 1) % 1);
  return index => steps.map(step => (0.5 + (index + 1) * step) % 1 || 0.5);
}
