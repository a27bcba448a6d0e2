/**
 * Time that passes only when told to, so that hours of a talk are lived through at once and the same way each time.
 */
import type { Timers } from '../clock.ts';

export interface HandTimers extends Timers {
  monoMs(): number;
  /** Lets time pass and runs what falls due, in order. */
  pass(ms: number): void;
}

export function createHandTimers(): HandTimers {
  interface Waiting {
    readonly dueMs: number;
    readonly run: () => void;
  }
  let nowMs = 0;
  const waiting = new Set<Waiting>();

  const earliest = (untilMs: number): Waiting | null => {
    let first: Waiting | null = null;
    for (const one of waiting) if (one.dueMs <= untilMs && (first === null || one.dueMs < first.dueMs)) first = one;
    return first;
  };
  return {
    monoMs: () => nowMs,
    after(delayMs, run) {
      const one = { dueMs: nowMs + Math.max(0, delayMs), run };
      waiting.add(one);
      return () => void waiting.delete(one);
    },
    pass(ms) {
      const untilMs = nowMs + ms;
      for (let next = earliest(untilMs); next !== null; next = earliest(untilMs)) {
        waiting.delete(next);
        nowMs = next.dueMs;
        next.run();
      }
      nowMs = untilMs;
    },
  };
}
