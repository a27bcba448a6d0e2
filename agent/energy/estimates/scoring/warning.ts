/**
 * The warning "30 minutes left", given when the promised time first comes down to 30 minutes. On time where at least
 * that long was really left. The form is an alarm's: it must not come late in a stated share of runs to empty (E. F.
 * Hogge et al., Verification of prognostic algorithms to predict remaining flying time, Int. J. Prognostics and Health
 * Management 2018, there at two minutes).
 */
import { medianOf, shareOf } from './median.ts';

export const WARN_MIN = 30;
/** Still time to do something. */
const USABLE_MIN = 15;
/** So early that it is soon not believed. */
const EARLY_MIN = 90;

export interface Warnings {
  /** Discharges in which it was due. */
  of: number;
  /** Shares of these. Never given counts as late. */
  onTime: number | null;
  usable: number | null;
  tooEarly: number | null;
  medianLeftMin: number | null;
}

/**
 * Minutes really left when the promised time first came down to 30 minutes; 0 where it never did.
 *
 * @param told what was promised (p10) in order of time; null where nothing was said
 */
export function leftAtWarning(told: readonly { promisedMin: number | null; trueMin: number }[]): number {
  return told.find(t => t.promisedMin !== null && t.promisedMin <= WARN_MIN)?.trueMin ?? 0;
}

/** @param leftMin minutes left at the warning, one a discharge that lasted longer than the warning */
export const warningsOf = (leftMin: readonly number[]): Warnings => ({
  of: leftMin.length,
  onTime: shareOf(leftMin.map(left => left >= WARN_MIN)),
  usable: shareOf(leftMin.map(left => left >= USABLE_MIN)),
  tooEarly: shareOf(leftMin.map(left => left > EARLY_MIN)),
  medianLeftMin: medianOf(leftMin),
});
