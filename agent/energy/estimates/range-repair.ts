/**
 * Ranges that keep their promise: after each outcome the early and the late half of a range are made a little wider
 * when it fell outside, a little narrower when inside, so that eight in ten hold in the long run whatever is wrong with
 * the model (adaptive conformal inference, I. Gibbs, E. Candès, NeurIPS 2021, eq. 2; that it needs no more than nested
 * ranges: arXiv 2409.15548). One correction for each span of horizons: a short one's is never carried to a long one.
 */

/** Factors on the distance from the middle to either end. */
export interface RangeScale {
  early: number;
  late: number;
  /** Outcomes learned from. */
  outcomes: number;
}

export interface TimeRange {
  p10: number;
  p50: number;
  /** Infinity where it lies past what was looked at. */
  p90: number;
}

export const UNREPAIRED: RangeScale = { early: 1, late: 1, outcomes: 0 };

/** Misses promised: two in ten, one on either side. */
const MISS = 0.2;
/** Step on any miss, and on a miss of the side itself, in the logarithm of the factor. */
const PACE = 0.15;
const SIDE_PACE = 0.1;
const LEAST = 0.3;
const MOST = 5;

/** Hours up to which each correction serves; the last one serves all beyond. */
const BUCKET_H = [0.5, 1, 2, 4, 8, 16, 32];

/** Which correction serves a range whose middle lies `hours` ahead. */
export const bucketOf = (hours: number): number => {
  const i = BUCKET_H.findIndex(limit => hours <= limit);
  return i < 0 ? BUCKET_H.length : i;
};
export const BUCKETS = BUCKET_H.length + 1;

/**
 * A range, in any unit of time ahead of now, with its halves corrected. The early end comes nearer by its factor at most:
 * where the middle lies days ahead a wider half would reach into the past, and a full battery be told to end now.
 */
export function repairedRange(range: TimeRange, scale: RangeScale): TimeRange {
  const wider = range.p50 + scale.early * (range.p10 - range.p50);
  return {
    p10: scale.early <= 1 ? wider : Math.max(range.p10 / scale.early, wider),
    p50: range.p50,
    p90: range.p50 + scale.late * (range.p90 - range.p50),
  };
}

/**
 * The correction after an outcome.
 *
 * @param told the range as it was told, corrected
 * @param pace 1 for outcomes of their own; less where many overlap and say much the same
 */
export function afterOutcome(scale: RangeScale, told: TimeRange, truth: number, pace = 1): RangeScale {
  const tooEarly = truth < told.p10 ? 1 : 0;
  const tooLate = truth > told.p90 ? 1 : 0;
  const common = PACE * (tooEarly + tooLate - MISS);
  const moved = (factor: number, missed: number) =>
    Math.min(MOST, Math.max(LEAST, factor * Math.exp(pace * (common + SIDE_PACE * (missed - MISS / 2)))));
  return {
    early: moved(scale.early, tooEarly),
    late: moved(scale.late, tooLate),
    outcomes: scale.outcomes + 1,
  };
}
