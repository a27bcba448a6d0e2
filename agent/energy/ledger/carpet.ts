/**
 * Minutes of a civil day laid out by the wall clock: mean watts in steps, null where nothing was recorded. An hour that
 * the clocks skip stays null, of one that they repeat it is the mean of both. Powers W.
 */
import { zoneOffsetMs } from '../civil-day.ts';
import { MINUTE_MS } from './clear-day.ts';

export const CARPET_STEP_MIN = 30;
const STEPS = 1440 / CARPET_STEP_MIN;
const DAY_MS = 86_400_000;

const PLAIN_DAY = Int16Array.from({ length: 1440 }, (_, minute) => minute);

/**
 * Minute of the wall clock, 0 to 1439, of each minute from an instant on.
 *
 * @param isPlainDay from midnight to midnight without a change of the clocks: the zone need not be asked
 */
export function wallMinutes(startMs: number, count: number, zone: string, isPlainDay = false): Int16Array {
  if (isPlainDay) return PLAIN_DAY;
  const wall = new Int16Array(count);
  const [first, last] = [zoneOffsetMs(startMs, zone), zoneOffsetMs(startMs + (count - 1) * MINUTE_MS, zone)];
  for (let i = 0; i < count; i++) {
    const atMs = startMs + i * MINUTE_MS;
    const offsetMs = first === last ? first : zoneOffsetMs(atMs, zone);
    wall[i] = Math.floor(((((atMs + offsetMs) % DAY_MS) + DAY_MS) % DAY_MS) / MINUTE_MS);
  }
  return wall;
}

/** One row of the carpet. @param powerW by the minute, NaN where it is not known */
export function carpetRow(powerW: Float64Array, wall: Int16Array): (number | null)[] {
  const sums = new Float64Array(STEPS);
  const counts = new Uint16Array(STEPS);
  for (let i = 0; i < powerW.length; i++) {
    const watts = powerW[i]!;
    if (Number.isNaN(watts)) continue;
    const step = Math.floor(wall[i]! / CARPET_STEP_MIN);
    sums[step]! += watts;
    counts[step]!++;
  }
  return Array.from(counts, (count, step) => (count === 0 ? null : Math.round((10 * sums[step]!) / count) / 10));
}

/** Energy by hour of the wall clock, in watt-minutes. */
export function byHour(powerW: Float64Array, wall: Int16Array): Float64Array {
  const hours = new Float64Array(24);
  for (let i = 0; i < powerW.length; i++) {
    const watts = powerW[i]!;
    if (watts > 0) hours[Math.floor(wall[i]! / 60)]! += watts;
  }
  return hours;
}
