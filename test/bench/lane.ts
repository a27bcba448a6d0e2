/** One value after the other down a road, each waited for before the next is sent. */
import { setTimeout as pause } from 'node:timers/promises';

const LOST_AFTER_MS = 5_000;

export interface Lane {
  /** Sends one value and waits for it; ms. */
  send(): Promise<number>;
}

export interface Awaiting {
  told(watts: number | null | undefined): void;
  /** Resolves when the value is told; rejects where it never comes. */
  expect(watts: number): Promise<void>;
}

/** @param limitMs after which a value is given up */
export function awaiting(limitMs = LOST_AFTER_MS): Awaiting {
  let wanted: { watts: number; found: () => void } | null = null;
  return {
    told(watts) {
      if (wanted?.watts === watts) wanted?.found();
    },
    expect: watts =>
      new Promise((resolve, reject) => {
        const timer = setTimeout(() => reject(new Error('a value never arrived')), limitMs);
        const found = () => {
          wanted = null;
          clearTimeout(timer);
          resolve();
        };
        wanted = { watts, found };
      }),
  };
}

/** @param most values run from 100 up to this and begin anew */
export function laneOf(write: (watts: number) => void, expect: Awaiting['expect'], most: number): Lane {
  let last = 100;
  return {
    async send() {
      last = last >= most ? 100 : last + 1;
      const arrival = expect(last);
      const sentMs = performance.now();
      write(last);
      await arrival;
      return performance.now() - sentMs;
    },
  };
}

/** `count` values, one every `everyMs` or a little more. */
export async function burst(lane: Lane, count: number, everyMs: number): Promise<number[]> {
  const took: number[] = [];
  for (let i = 0; i < count; i++) {
    const ms = await lane.send();
    took.push(ms);
    await pause(Math.max(0, everyMs - ms) + Math.random() * 6);
  }
  return took;
}
