/**
 * Courses that follow the same hours of the day before, shifted by up to half an hour either way and brought to today's
 * level, which fades over six hours. The single largest gain over a short past (own measurement on recorded loads).
 */
import type { Chance } from '../chance.ts';
import { FACTOR_BITS } from './level-factors.ts';
import { indexAt, meanLoadW, type Past } from './minutes.ts';
import { stepMeans } from './step-means.ts';

const DAY_MIN = 1440;
const JITTER_MIN = 30;
const FADE_MIN = 360;
/** A day's log may lack its first hour. */
const ENOUGH_MIN = DAY_MIN - 60;
const SOFTENING_W = 5;

/**
 * @param atLevel brought to the level of the last hour; false where that is passing
 * @returns null where less than a day was recorded
 */
export function createDayBefore(past: Past, nowMinute: number, stepMin: number, steps: number, atLevel: boolean) {
  const { minutes, count } = past;
  if (count < ENOUGH_MIN / 2 || nowMinute - minutes[0]! < ENOUGH_MIN) return null;
  const now = atLevel ? meanLoadW(past, nowMinute - 60, nowMinute + 1) : null;
  const fade = new Float64Array(steps);
  for (let s = 0; s < steps; s++) fade[s] = Math.exp((-s * stepMin) / FADE_MIN);
  const firstMinute = nowMinute - DAY_MIN - JITTER_MIN;
  // What lies ahead of yesterday's record repeats the day before it.
  const everyMinute = repeated(loadByMinute(past, firstMinute, nowMinute), steps * stepMin);
  const stepW = stepMeans(everyMinute, stepMin);
  return (chance: Chance, into: Float64Array, start: number, factors: Float64Array): void => {
    const back = DAY_MIN + Math.round((2 * chance.uniform() - 1) * JITTER_MIN);
    const then =
      meanLoadW(past, nowMinute - back - 60, nowMinute - back) ??
      meanLoadW(past, nowMinute - back, nowMinute - back + 60);
    const ratio = now === null || then === null ? 1 : Math.sqrt((now + SOFTENING_W) / (then + SOFTENING_W));
    copyFading(stepW, nowMinute - back - firstMinute + start * stepMin, stepMin, ratio - 1, fade, factors, into, start);
  };
}

/** Steps from a row on, of which `more` is added that fades, brought to a level. */
function copyFading(
  stepW: Float64Array,
  row: number,
  stepMin: number,
  more: number,
  fade: Float64Array,
  factors: Float64Array,
  into: Float64Array,
  from: number,
): void {
  for (let s = from, k = row; s < into.length; s++, k += stepMin)
    into[s] = stepW[k]! * (1 + more * fade[s]!) * factors[s >> FACTOR_BITS]!;
}

/** So many minutes more, each as a day before. */
function repeated(watts: Float64Array, more: number): Float64Array {
  const all = new Float64Array(watts.length + more);
  all.set(watts);
  for (let k = watts.length; k < all.length; k++) all[k] = all[k - DAY_MIN]!;
  return all;
}

/** Watts at each minute of [fromMinute, toMinute); one that was not recorded has those of the next that was. */
function loadByMinute(past: Past, fromMinute: number, toMinute: number): Float64Array {
  const { minutes, outputW, count } = past;
  const watts = new Float64Array(toMinute - fromMinute);
  let i = Math.min(count - 1, indexAt(past, fromMinute));
  for (let k = 0; k < watts.length; k++) {
    while (i < count - 1 && minutes[i]! < fromMinute + k) i++;
    watts[k] = outputW[i]!;
  }
  return watts;
}
