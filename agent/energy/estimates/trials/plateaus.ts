/**
 * Stretches in which a power held one level: what an owner does who plugs in one load after another. A level ends when
 * readings leave it for longer than a moment; its first minute is left out, while things settle. A link that stutters does
 * not end it, where the level is the same on both sides: what was not read just does not count. Own judgement.
 */
import { MINUTE_MS } from './samples.ts';
import type { Tick } from './ticks.ts';
import type { Stretch } from './watch.ts';

export interface Plateau extends Stretch {
  readonly meanW: number;
}

/** A load that stood long enough, with the percents that ticked away meanwhile. */
export interface LoadHeld extends Plateau {
  readonly ticks: readonly Tick[];
}

const SETTLES_MS = MINUTE_MS;
const OFF_SHARE = 0.06;
const OFF_W = 3;
const MOMENT_MS = 20_000;

/** Of a stretch, the time between samples that are near enough to each other, ms. */
export function coveredMs(at: Float64Array, from: number, to: number, gapLimitMs: number): number {
  let ms = 0;
  for (let k = from; k < to; k++) if (at[k + 1]! - at[k]! <= gapLimitMs) ms += at[k + 1]! - at[k]!;
  return ms;
}

/**
 * Plateaus between two indices of which at least `leastMs` were covered after settling.
 *
 * @param bridgedMs longest gap that does not end one
 */
export function plateausOf(
  at: Float64Array,
  column: Float64Array,
  from: number,
  to: number,
  leastMs: number,
  gapLimitMs: number,
  bridgedMs: number,
): Plateau[] {
  const out: Plateau[] = [];
  let begin = from;
  let [sum, count, offSince] = [0, 0, -1];
  const close = (end: number) => {
    let first = begin;
    while (first < end && at[first]! - at[begin]! < SETTLES_MS) first++;
    if (end > first && coveredMs(at, first, end, gapLimitMs) >= leastMs)
      out.push({ from: first, to: end, meanW: meanBetween(first, end) });
  };
  const meanBetween = (a: number, b: number) => {
    let [all, n] = [0, 0];
    for (let k = a; k <= b; k++)
      if (!Number.isNaN(column[k]!)) {
        all += column[k]!;
        n++;
      }
    return all / Math.max(1, n);
  };
  const restart = (k: number) => {
    begin = k;
    [sum, count, offSince] = [0, 0, -1];
  };
  for (let k = from; k <= to; k++) {
    const w = column[k]!;
    if (Number.isNaN(w)) continue;
    if (k > from && at[k]! - at[k - 1]! > Math.max(gapLimitMs, bridgedMs)) {
      close(k - 1);
      restart(k);
    }
    const mean = count === 0 ? w : sum / count;
    if (Math.abs(w - mean) <= Math.max(OFF_W, OFF_SHARE * mean)) {
      sum += w;
      count++;
      offSince = -1;
      continue;
    }
    if (offSince < 0) offSince = k;
    if (at[k]! - at[offSince]! < MOMENT_MS && k - offSince < 2) continue;
    close(Math.max(begin, offSince - 1));
    const next = offSince;
    restart(next);
    for (let j = next; j <= k; j++) {
      sum += column[j]! || 0;
      count++;
    }
  }
  close(to);
  return out;
}
