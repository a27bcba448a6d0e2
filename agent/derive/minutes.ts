/**
 * The last day in minutes: mean watts of each minute that was recorded. Rolling windows, the last hour's energy and the
 * length of history come from here; a minute without a reading is absent, not zero. In columns: ten stations of objects
 * would be 2 MB.
 */

const MINUTE_MS = 60_000;
const KEPT = 1440;
export const WINDOW_MINUTES = [15, 60, 180, 360, 720, 1440] as const;

/** Mean power of the last `minutes`, and the share of it that was recorded. */
export interface Window {
  minutes: number;
  inputW: number;
  outputW: number;
  /** 0-1. */
  coverage: number;
}

export interface Means {
  inputW: number;
  outputW: number;
  solarW: number;
}

export interface Minutes {
  add(
    atMs: number,
    values: { inputW: number | null; outputW: number | null; solarW: number | null; pct: number | null },
  ): void;
  windows(atMs: number): Window[];
  /** Minutes of the last day that hold a reading. */
  recorded(atMs: number): number;
  /** Means over the last `minutes`, or null where none was recorded. */
  means(atMs: number, minutes: number): (Means & { coverage: number }) | null;
  /** State of charge `minutes` ago (the nearest recorded minute at or after it), or null. */
  pctAgo(atMs: number, minutes: number): number | null;
}

export function createMinutes(): Minutes {
  const column = () => new Float64Array(KEPT);
  /** Minutes since the epoch: whether a slot still holds the minute it is asked for. */
  const minuteOf = new Int32Array(KEPT).fill(-1);
  const counts = new Uint32Array(KEPT);
  const [inputs, outputs, suns] = [column(), column(), column()];
  /** Last state of charge of the minute; NaN where none was told. */
  const pcts = column();
  const slotOf = (minute: number) => ((minute % KEPT) + KEPT) % KEPT;

  /** Slots of the recorded minutes of the last `minutes`, newest first; the running minute counts. */
  function* back(atMs: number, minutes: number): Generator<number> {
    const newest = Math.floor(atMs / MINUTE_MS);
    for (let m = newest; m > newest - Math.min(minutes, KEPT); m--) {
      const slot = slotOf(m);
      if (minuteOf[slot] === m) yield slot;
    }
  }

  function means(atMs: number, minutes: number) {
    const sum = { inputW: 0, outputW: 0, solarW: 0 };
    let n = 0;
    for (const slot of back(atMs, minutes)) {
      sum.inputW += inputs[slot]!;
      sum.outputW += outputs[slot]!;
      sum.solarW += suns[slot]!;
      n++;
    }
    if (n === 0) return null;
    return {
      inputW: sum.inputW / n,
      outputW: sum.outputW / n,
      solarW: sum.solarW / n,
      coverage: Math.min(1, n / minutes),
    };
  }

  return {
    add(atMs, { inputW, outputW, solarW, pct }) {
      if (inputW === null && outputW === null) return;
      const minute = Math.floor(atMs / MINUTE_MS);
      const slot = slotOf(minute);
      if (minuteOf[slot] !== minute) {
        minuteOf[slot] = minute;
        counts[slot] = 0;
        for (const column of [inputs, outputs, suns]) column[slot] = 0;
        pcts[slot] = Number.NaN;
      }
      const count = counts[slot]! + 1;
      counts[slot] = count;
      const mean = (column: Float64Array, value: number | null) => {
        column[slot] = column[slot]! + ((value ?? 0) - column[slot]!) / count;
      };
      mean(inputs, inputW);
      mean(outputs, outputW);
      mean(suns, solarW);
      if (pct !== null) pcts[slot] = pct;
    },
    windows: atMs =>
      WINDOW_MINUTES.flatMap(minutes => {
        const m = means(atMs, minutes);
        return m === null ? [] : [{ minutes, inputW: m.inputW, outputW: m.outputW, coverage: m.coverage }];
      }),
    recorded: atMs => [...back(atMs, KEPT)].length,
    means,
    pctAgo(atMs, minutes) {
      let pct: number | null = null;
      for (const slot of back(atMs, minutes)) if (!Number.isNaN(pcts[slot]!)) pct = pcts[slot]!;
      return pct;
    },
  };
}
