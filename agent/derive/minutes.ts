/**
 * The last day in minutes: mean watts of each minute that was recorded. Rolling windows, the last hour's energy and the
 * length of history come from here; a minute without a reading is absent, not zero.
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

interface Minute extends Means {
  /** Minutes since the epoch; tells whether the slot still holds the minute it is asked for. */
  minute: number;
  count: number;
  /** Last state of charge of the minute. */
  pct: number | null;
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
  const ring: (Minute | undefined)[] = new Array(KEPT);
  const slotOf = (minute: number) => ((minute % KEPT) + KEPT) % KEPT;

  /** The recorded minutes of the last `minutes`, newest first; the running minute counts. */
  function* back(atMs: number, minutes: number): Generator<Minute> {
    const newest = Math.floor(atMs / MINUTE_MS);
    for (let m = newest; m > newest - Math.min(minutes, KEPT); m--) {
      const held = ring[slotOf(m)];
      if (held?.minute === m) yield held;
    }
  }

  function means(atMs: number, minutes: number) {
    const sum = { inputW: 0, outputW: 0, solarW: 0 };
    let n = 0;
    for (const held of back(atMs, minutes)) {
      sum.inputW += held.inputW;
      sum.outputW += held.outputW;
      sum.solarW += held.solarW;
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
      const held = ring[slotOf(minute)];
      const before = held?.minute === minute ? held : { inputW: 0, outputW: 0, solarW: 0, count: 0, pct: null };
      const count = before.count + 1;
      const mean = (old: number, value: number | null) => old + ((value ?? 0) - old) / count;
      ring[slotOf(minute)] = {
        minute,
        count,
        inputW: mean(before.inputW, inputW),
        outputW: mean(before.outputW, outputW),
        solarW: mean(before.solarW, solarW),
        pct: pct ?? before.pct,
      };
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
      for (const held of back(atMs, minutes)) pct = held.pct ?? pct;
      return pct;
    },
  };
}
