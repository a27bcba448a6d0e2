/**
 * The last days in minutes: mean watts going out and coming from the sun in each minute that was recorded, oldest
 * first. A minute without a reading is absent, never zero.
 */

const MINUTE_MS = 60_000;
/** Eight days: yesterday's and last week's same hours are in it. */
const KEPT = 8 * 1440;

/** Equal columns, `count` rows in use. */
export interface Past {
  /** Minutes since the epoch, rising. */
  minutes: Int32Array;
  outputW: Float64Array;
  solarW: Float64Array;
  count: number;
}

export interface PastMinutes {
  /** Samples in order of time; null where nothing is known of the load. Sun not known is none. */
  add(at: number, outputW: number | null, solarW: number | null): void;
  /** Whole minutes recorded and the running one; the arrays are the live ones. */
  read(): Past;
}

export function createPastMinutes(): PastMinutes {
  const past: Past = {
    minutes: new Int32Array(2 * KEPT),
    outputW: new Float64Array(2 * KEPT),
    solarW: new Float64Array(2 * KEPT),
    count: 0,
  };
  let samples = 0;
  return {
    add(at, outputW, solarW) {
      if (outputW === null) return;
      const minute = Math.floor(at / MINUTE_MS);
      const { minutes, outputW: out, solarW: sun } = past;
      const last = past.count - 1;
      if (last >= 0 && minutes[last]! >= minute) {
        samples++;
        out[last]! += (outputW - out[last]!) / samples;
        sun[last]! += ((solarW ?? 0) - sun[last]!) / samples;
        return;
      }
      if (past.count === minutes.length) {
        for (const column of [minutes, out, sun]) column.copyWithin(0, KEPT);
        past.count = KEPT;
      }
      minutes[past.count] = minute;
      out[past.count] = outputW;
      sun[past.count] = solarW ?? 0;
      past.count++;
      samples = 1;
    },
    read: () => past,
  };
}

/** Index of the first minute at or after `minute`; `count` where there is none. */
export function indexAt({ minutes, count }: Past, minute: number): number {
  let low = 0;
  let high = count;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (minutes[mid]! < minute) low = mid + 1;
    else high = mid;
  }
  return low;
}

/** Mean load over [fromMinute, toMinute), W; null where less than half of it was recorded. */
export function meanLoadW(past: Past, fromMinute: number, toMinute: number): number | null {
  const a = indexAt(past, fromMinute);
  const b = indexAt(past, toMinute);
  if (b - a < (toMinute - fromMinute) / 2) return null;
  let sum = 0;
  for (let i = a; i < b; i++) sum += past.outputW[i]!;
  return sum / (b - a);
}

/** Mean load of the last `minutes` recorded minutes, W; 0 with nothing recorded. */
export function recentLoadW({ outputW, count }: Past, minutes: number): number {
  const n = Math.min(count, Math.max(1, Math.round(minutes)));
  let sum = 0;
  for (let i = count - n; i < count; i++) sum += outputW[i]!;
  return n === 0 ? 0 : sum / n;
}
