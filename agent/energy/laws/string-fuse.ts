/**
 * Currents that strings of panels in parallel must be built for, and whether each string needs a fuse of its own.
 *
 * A shorted string is fed backwards by all the others; its panels bear that up to their maximum series-fuse rating.
 * Decides: US National Electrical Code 690.8(A) and 690.9(A), (n − 1) × 1.25 × Isc. Shown beside it: IEC 62548
 * (from memory) and IEC 60364-7-712:2017 (from memory). All bind fixed installations; here they are guidance.
 */

/** Bright sun on clouds and snow gives more than the label's 1000 W/m²: NEC 690.8(A)(1). */
export const BRIGHT_SUN = 1.25;
/** A fuse or conductor that carries it for hours: NEC 690.8(B), 1.25 × 1.25. */
export const CONTINUOUS = 1.5625;
/** Sizes that fuses for panels are sold in, A; the usual ones first, the rest from memory. */
export const FUSE_SIZES_A: readonly number[] = [10, 15, 20, 25, 30, 35, 40, 8, 6, 5, 4, 3, 2];

/** Current to build for, A, from the sum of the strings' short-circuit currents. */
export const designCurrentA = (shortCircuitA: number): number => BRIGHT_SUN * shortCircuitA;

export interface FuseRules {
  /** What the other strings can feed back into one, 1.25 included, A. */
  backFeedA: number;
  /** The rating of the panels in the string that bears least, A. */
  ratingA: number;
  /** Each string needs a fuse. */
  nec: boolean;
  iec62548: boolean;
  iec60364: boolean;
  /** Where a string fuse may lie by IEC 62548, A; empty where `fromA` is above `toA`. */
  fromA: number;
  toA: number;
  /** The least rating by NEC 690.9(B), A. */
  leastA: number;
  /** A usual size that both codes allow; null where there is none. */
  sizeA: number | null;
}

/** Binary fractions must not decide: 3 × 1.25 × 4 is not above 15. */
const above = (a: number, limit: number) => a - limit > 1e-9 * limit;

/**
 * The rules for one string among others.
 *
 * @param ownA short-circuit current of the string, @param othersA sum of the others'; 0 where there are none
 * @param ratingA maximum series-fuse rating of its panels
 */
export function fuseRules(ownA: number, othersA: number, ratingA: number): FuseRules {
  const backFeedA = BRIGHT_SUN * othersA;
  const fromA = 1.5 * ownA;
  const toA = Math.min(2.4 * ownA, ratingA);
  const leastA = CONTINUOUS * ownA;
  return {
    backFeedA,
    ratingA,
    nec: above(backFeedA, ratingA),
    iec62548: above(othersA, ratingA),
    iec60364: above(backFeedA, 1.35 * ratingA),
    fromA,
    toA,
    leastA,
    sizeA: FUSE_SIZES_A.find(sizeA => !above(leastA, sizeA) && !above(sizeA, toA)) ?? null,
  };
}
