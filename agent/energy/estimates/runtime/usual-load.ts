/**
 * How the load of a household usually goes with the clock: little in the small hours, most in the evening. Only a part of
 * it is believed of any one load, and none of a load that never changes. Shape: after the standard load profile of
 * households (H0, working day, German utilities' association, 1999), from memory, smoothed; the part: fitted to 96
 * recorded discharges under household loads.
 */
import type { Past } from './minutes.ts';

const DAY_MIN = 1440;
/** Of the mean, at each full hour. */
const BY_HOUR = [
  0.75, 0.62, 0.58, 0.56, 0.57, 0.65, 0.9, 1.1, 1.05, 1, 1, 1.05, 1.1, 1.02, 0.97, 0.97, 1.05, 1.2, 1.4, 1.5, 1.45, 1.3,
  1.1, 0.92,
] as const;
/** Power to which the shape is raised, and the spread of the minutes (logarithms) from which on it is in full. */
const PART = 0.27;
const CHANGING = 0.1;
const LOOK_BACK_MIN = 1440;
const SOFTENING_W = 10;

/** Level at a minute since the epoch, against another; offset: local minus universal time, min. */
export type UsualLoad = (minute: number) => number;

export function createUsualLoad(past: Past, first: number, offsetMin: number): UsualLoad {
  const part = PART * Math.min(1, spreadOf(past, first) / CHANGING);
  const byHour = BY_HOUR.map(level => level ** part);
  return minute => {
    const clock = (((minute + offsetMin) % DAY_MIN) + DAY_MIN) % DAY_MIN;
    const hour = Math.floor(clock / 60);
    const share = clock / 60 - hour;
    return (1 - share) * byHour[hour]! + share * byHour[(hour + 1) % 24]!;
  };
}

/** Standard deviation of the logarithms of the last day's minutes. */
function spreadOf({ outputW, count }: Past, first: number): number {
  const from = Math.max(first, count - LOOK_BACK_MIN);
  let sum = 0;
  let squares = 0;
  for (let i = from; i < count; i++) {
    const log = Math.log(outputW[i]! + SOFTENING_W);
    sum += log;
    squares += log * log;
  }
  const n = count - from;
  return Math.sqrt(Math.max(0, squares / n - (sum / n) ** 2));
}
