/** A past load put together minute by minute from parts that switch, for tests that look for those parts in it. */
import { createPastMinutes, type Past } from '#energy/estimates/runtime/minutes';

/** Minutes since the epoch at which every household's past ends. */
export const NOW_MINUTE = 29_000_000;
const MINUTE_MS = 60_000;

/** Watts of one part at a minute counted from the beginning of the past. */
export type Part = (minute: number) => number;

export const steady =
  (powerW: number, from = 0, to = Number.POSITIVE_INFINITY): Part =>
  m =>
    m >= from && m < to ? powerW : 0;

export const cycling =
  (powerW: number, onMin: number, cycleMin: number, offset = 0): Part =>
  m =>
    (((m - offset) % cycleMin) + cycleMin) % cycleMin < onMin ? powerW : 0;

/** The sum of the parts over so many minutes, the last of which ends at NOW_MINUTE. @param noise added to each minute, W */
export function household(minutes: number, parts: readonly Part[], noise: (minute: number) => number = () => 0): Past {
  const past = createPastMinutes();
  for (let m = 0; m < minutes; m++) {
    const sum = parts.reduce((w, part) => w + part(m), 0);
    past.add((NOW_MINUTE - minutes + m) * MINUTE_MS, Math.max(0, sum + noise(m)), null);
  }
  return past.read();
}
