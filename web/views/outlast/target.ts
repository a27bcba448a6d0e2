/** The target as the owner sets it: a civil day and time in the station's zone. Pure. */
import { civilDate, shiftDate, startOfDate, zoneOffsetMs } from '#energy/civil-day';

const HOUR_MS = 3_600_000;
/** Days that can be chosen, today included. */
export const DAYS = 8;
const MORNING = '07:00';
/** A target closer than this is hardly a question. */
const LEAST_AHEAD_MS = 2 * HOUR_MS;

export interface Target {
  date: string;
  /** `HH:MM`. */
  time: string;
}

export const isTime = (text: string): boolean => /^([01]\d|2[0-3]):[0-5]\d$/.test(text);

/** The instant of a civil day and time; one that is skipped by a clock change is the first after it. */
export function instantOf({ date, time }: Target, zone: string): number {
  const nominal = Date.parse(`${date}T${time}:00Z`);
  const first = nominal - zoneOffsetMs(nominal, zone);
  const at = nominal - zoneOffsetMs(first, zone);
  return Math.max(at, startOfDate(date, zone));
}

/** The next morning, or the next time of that name that lies far enough ahead. */
export function nextTarget(nowAt: number, zone: string, time: string = MORNING): Target {
  const wanted = isTime(time) ? time : MORNING;
  const today = { date: civilDate(nowAt, zone), time: wanted };
  return instantOf(today, zone) >= nowAt + LEAST_AHEAD_MS ? today : { ...today, date: shiftDate(today.date, 1) };
}

/** Days to choose from, today first. */
export const daysFrom = (nowAt: number, zone: string): string[] =>
  Array.from({ length: DAYS }, (_, i) => shiftDate(civilDate(nowAt, zone), i));
