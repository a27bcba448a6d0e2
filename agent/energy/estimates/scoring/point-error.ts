/**
 * How far one foretold time lies from what came true. Times in minutes ahead; an error is a share of the true time, so
 * that an hour and a night weigh the same.
 *
 * Relative accuracy and its mean: A. Saxena et al., Metrics for offline evaluation of prognostic performance, Int. J.
 * Prognostics and Health Management 1 (2010), eq. 20-21; here never below 0, or one guess of "for ever" would drown all.
 */

/** Near the end a share of the time left is less than anybody can read off a clock, min (own choice). */
export const LEAST_TOLERANCE_MIN = 3;

/** |told − true| / true; Infinity where "never" was told. */
export const absShareError = (toldMin: number, trueMin: number): number => Math.abs(toldMin - trueMin) / trueMin;

/** Within `share` of the true time, or within three minutes of it. */
export const isWithin = (toldMin: number, trueMin: number, share: number): boolean =>
  Math.abs(toldMin - trueMin) <= Math.max(share * trueMin, LEAST_TOLERANCE_MIN);

/** RA = 1 − |told − true| / true, 0 where it would be negative. */
export const relativeAccuracy = (toldMin: number, trueMin: number): number =>
  Math.max(0, 1 - absShareError(toldMin, trueMin));
