/**
 * Scores worked by hand. Interval score: T. Gneiting, A. Raftery, J. Am. Stat. Assoc. 102 (2007) 359, eq. 43. CRPS of a
 * normal: the same, eq. 21 (σ · (2φ(0) − 1/√π) in its middle); of a uniform on [0, 1]: y² − y + 1/3, from the integral of
 * (F(x) − 1{x ≥ y})². Pinball: R. Koenker, G. Bassett, Econometrica 46 (1978) 33. Alpha-lambda and relative accuracy: A.
 * Saxena et al., Int. J. Prognostics and Health Management 1 (2010), eq. 16 and 20.
 */

/** A range from 6 to 14 that promises four in five (α = 0.2): width 8, and ten times the distance of a miss. */
export const INTERVAL_SCORES = [
  { truth: 10, score: 8 },
  { truth: 6, score: 8 },
  { truth: 14, score: 8 },
  { truth: 4, score: 8 + 10 * 2 },
  { truth: 15, score: 8 + 10 * 1 },
];

export const PINBALLS = [
  { level: 0.9, told: 100, truth: 120, loss: 18 },
  { level: 0.9, told: 100, truth: 80, loss: 2 },
  { level: 0.1, told: 100, truth: 120, loss: 2 },
  { level: 0.1, told: 100, truth: 80, loss: 18 },
  { level: 0.5, told: 100, truth: 70, loss: 15 },
  { level: 0.5, told: 100, truth: 100, loss: 0 },
];

export const NORMAL_MIDDLE_CRPS = 0.233695;
export const uniformCrps = (y: number): number => y * y - y + 1 / 3;

/** Quantiles of the standard normal at 5 %, 10 % … 50 %: M. Abramowitz, I. Stegun (1964), table 26.1; the rest by symmetry. */
export const NORMAL_QUANTILES = [
  -1.644854, -1.281552, -1.036433, -0.841621, -0.67449, -0.524401, -0.38532, -0.253347, -0.125661, 0,
];
