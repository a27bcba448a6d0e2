/**
 * What a load costs the battery: a fixed draw, a share of the load, and a square term that counts where a converter works
 * near its limit. Watts of the label, so that losses of the pack are in it.
 *
 * Square term: least squares of relative errors over the efficiencies of the 30 converters up to 60 V DC and above 1 kW in
 * the California Energy Commission's list (medians at 2, 5, 10, 20, 30, 50, 75 and 100 % of the rating: .589 .776 .863 .909
 * .921 .921 .915 .902) gives P_dc/P_r = 0.0136 + 1.016 x + 0.0797 x², within 0.3 %.
 */

/** Of the square term, for each watt of the converter's limit. */
export const SQUARE = 0.08;
/** From this share of the limit on the list's curve lies above the line that a label's station is reckoned with. */
const LABEL_KNOWN_TO = 0.75;

/** What a station takes for itself and for each watt-hour out, as believed. */
export interface Losses {
  /** Watt-hours of the label for an outgoing one, own draw in W, watt-hours of the label for an incoming one. */
  mean: readonly [outCost: number, ownW: number, inWorth: number];
  /** Of these, row by row. */
  covariance: readonly number[];
  /** Greatest load the first was learned at, W; null: not learned. */
  knownToW: number | null;
  /** The converter's limit, W; null: not told, then there is no square term. */
  continuousW: number | null;
}

/** What the square term adds at a load, W: nothing up to the load at which the share was learned. */
export function squareW({ knownToW, continuousW }: Losses, loadW: number): number {
  if (continuousW === null) return 0;
  const fromW = Math.min(knownToW ?? Number.POSITIVE_INFINITY, LABEL_KNOWN_TO * continuousW);
  return (SQUARE * loadW * Math.max(0, loadW - fromW)) / continuousW;
}
