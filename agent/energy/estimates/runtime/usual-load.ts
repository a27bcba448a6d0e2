/**
 * How the load of a household usually goes with the clock: little in the small hours, most in the evening. Only a part of
 * it is believed of any one load, and none of a load that never changes. Shape: after the standard load profile of
 * households (H0, working day, German utilities' association, 1999), from memory, smoothed; the part: fitted to 96
 * recorded discharges under household loads.
 */
import type { Past } from './minutes.ts';

const DAY_MIN = 1440;
const HOUR_MIN = 60;
/** Of the mean, at each full hour. */
const BY_HOUR = [
  0.75, 0.62, 0.58, 0.56, 0.57, 0.65, 0.9, 1.1, 1.05, 1, 1, 1.05, 1.1, 1.02, 0.97, 0.97, 1.05, 1.2, 1.4, 1.5, 1.45, 1.3,
  1.1, 0.92,
] as const;
/** Power to which the shape is raised, and the spread of the hours (logarithms) from which on it is in full. */
const PART = 0.27;
const CHANGING = 0.1;
const LOOK_BACK_MIN = 1440;
/** A shorter past tells a day's course from a passing one half as well. */
const UNTIL_KNOWN_H = 4;
const SOFTENING_W = 10;

/** Level at a minute since the epoch, against another; offset: local minus universal time, min. */
export type UsualLoad = (minute: number) => number;

export function createUsualLoad(past: Past, first: number, offsetMin: number): UsualLoad {
  const known = Math.min(1, (past.count - first) / (UNTIL_KNOWN_H * HOUR_MIN));
  const part = PART * (0.5 + 0.5 * known) * Math.min(1, spreadOf(past, first) / CHANGING);
  const byHour = BY_HOUR.map(level => level ** part);
  return minute => {
    const clock = (((minute + offsetMin) % DAY_MIN) + DAY_MIN) % DAY_MIN;
    const hour = Math.floor(clock / 60);
    const share = clock / 60 - hour;
    return (1 - share) * byHour[hour]! + share * byHour[(hour + 1) % 24]!;
  };
}

/**
 * How much the level changes from hour to hour over the last day: standard deviation of the logarithms of the hours'
 * means. A fridge cycles within the hour and keeps its level, which minutes would take for an evening; they have to do
 * until two hours are known.
 */
function spreadOf({ outputW, count }: Past, first: number): number {
  const from = Math.max(first, count - LOOK_BACK_MIN);
  const stepMin = count - from < 2 * HOUR_MIN ? 1 : HOUR_MIN;
  const steps = Math.floor((count - from) / stepMin);
  // Counted from one of them, so that a load without change has none at all.
  let origin: number | null = null;
  let sum = 0;
  let squares = 0;
  for (let end = count - (steps - 1) * stepMin; end <= count; end += stepMin) {
    let total = 0;
    for (let i = end - stepMin; i < end; i++) total += outputW[i]!;
    const level = Math.log(total / stepMin + SOFTENING_W);
    origin ??= level;
    sum += level - origin;
    squares += (level - origin) ** 2;
  }
  return Math.sqrt(Math.max(0, squares / steps - (sum / steps) ** 2));
}
