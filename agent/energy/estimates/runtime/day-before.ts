/**
 * Courses that follow the same hours of the day before, shifted by up to half an hour either way and brought to today's
 * level, which fades over six hours. The single largest gain over a short past (own measurement on recorded loads).
 */
import type { Chance } from '../chance.ts';
import { indexAt, meanLoadW, type Past } from './minutes.ts';

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
  const { minutes, outputW, count } = past;
  if (count < ENOUGH_MIN / 2 || nowMinute - minutes[0]! < ENOUGH_MIN) return null;
  const now = atLevel ? meanLoadW(past, nowMinute - 60, nowMinute + 1) : null;
  const fade = Float64Array.from({ length: steps }, (_, s) => Math.exp((-s * stepMin) / FADE_MIN));
  return (chance: Chance, into: Float64Array): void => {
    const back = DAY_MIN + Math.round((2 * chance.uniform() - 1) * JITTER_MIN);
    const then =
      meanLoadW(past, nowMinute - back - 60, nowMinute - back) ??
      meanLoadW(past, nowMinute - back, nowMinute - back + 60);
    const ratio = now === null || then === null ? 1 : Math.sqrt((now + SOFTENING_W) / (then + SOFTENING_W));
    let wanted = nowMinute - back;
    let i = Math.min(count - 1, indexAt(past, wanted));
    for (let s = 0; s < into.length; s++) {
      let sum = 0;
      for (let k = 0; k < stepMin; k++, wanted++) {
        // What lies ahead of yesterday's record repeats the day before it.
        if (wanted >= nowMinute) {
          wanted -= DAY_MIN;
          i = Math.min(count - 1, indexAt(past, wanted));
        }
        while (i < count - 1 && minutes[i]! < wanted) i++;
        sum += outputW[i]!;
      }
      into[s] = (sum / stepMin) * (1 + (ratio - 1) * fade[s]!);
    }
  };
}
