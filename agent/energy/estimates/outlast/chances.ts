/**
 * Chances in twenty: the corrected passage times of a projection cut into twenty equal parts, one dot for the middle of
 * each. How many dots lie at or after a target is the chance of reaching it.
 */
import { type Outlook, quantileOf } from '../runtime/engine.ts';
import type { Supposed } from '../runtime/suppose.ts';

export const CHANCES = 20;
/** What counts as sure enough to plan with. */
export const SURE = 18;

/** A projection under a supposition. */
export type Ask = (suppose: Supposed) => Outlook;
/** Its dots, as they are told. */
export type AskDots = (suppose: Supposed) => number[];

/** Minutes ahead at which the floor is reached, one a dot, rising; Infinity where it is not within what was looked at. */
export function dotsOf({ courses, floor }: Outlook): number[] {
  if (courses === null || floor === null) return [];
  const times = courses.floorMin;
  const middle = quantileOf(times, 0.5);
  const stretch = (told: number, raw: number) => {
    const factor = (told - middle) / (raw - middle);
    return Number.isFinite(factor) ? factor : 1;
  };
  const early = stretch(floor.p10, quantileOf(times, 0.1));
  const late = stretch(floor.p90, quantileOf(times, 0.9));
  return Array.from({ length: CHANCES }, (_, i) => {
    const raw = quantileOf(times, (i + 0.5) / CHANCES);
    if (!Number.isFinite(raw) || !Number.isFinite(middle)) return raw;
    return Math.max(0, middle + (raw < middle ? early : late) * (raw - middle));
  });
}

/** How many of twenty reach `targetMin`, minutes ahead. */
export const chancesOf = (dots: readonly number[], targetMin: number): number =>
  dots.filter(minutes => minutes >= targetMin).length;

/** Middle of the dots, minutes; Infinity where half of them go on. */
export const middleOf = (dots: readonly number[]): number => (dots[CHANCES / 2 - 1]! + dots[CHANCES / 2]!) / 2;

/** Where the courses that never reach the floor come nearest to it: the middle of them. null where fewer than half do. */
export function lowestOf({ courses }: Outlook): { labelWh: number; minutesAhead: number } | null {
  if (courses === null) return null;
  const count = courses.floorMin.filter(t => t === Number.POSITIVE_INFINITY).length;
  if (count < courses.floorMin.length / 2) return null;
  // Of all courses the highest `count` lows are those that stayed above the floor.
  const order = [...courses.lowestWh.keys()].sort((a, b) => courses.lowestWh[b]! - courses.lowestWh[a]!);
  const stayed = order.slice(0, count);
  const at = stayed[stayed.length >> 1]!;
  const minutes = stayed.map(i => courses.lowestMin[i]!).sort((a, b) => a - b);
  return { labelWh: courses.lowestWh[at]!, minutesAhead: minutes[minutes.length >> 1]! };
}
