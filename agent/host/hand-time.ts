/** Time that moves only when told: timers fire in the order of their moments, at once. Ms. */
import type { Timers } from '#kit';

export interface HandTime extends Timers {
  nowMs(): number;
  /** Moves to the next timer and fires it; false where there is none. */
  next(): boolean;
}

interface Waiting {
  readonly atMs: number;
  /** null: cancelled. */
  run: (() => void) | null;
}

export function createHandTime(): HandTime {
  /** Sorted from `head` on; most timers come in their order, so that they are put at the end. */
  const waiting: Waiting[] = [];
  let head = 0;
  let nowMs = 0;

  function put(timer: Waiting): void {
    let at = waiting.length;
    while (at > head && waiting[at - 1]!.atMs > timer.atMs) at--;
    waiting.splice(at, 0, timer);
  }
  return {
    nowMs: () => nowMs,
    after(delayMs, run) {
      const timer: Waiting = { atMs: nowMs + Math.max(0, delayMs), run };
      put(timer);
      return () => {
        timer.run = null;
      };
    },
    next() {
      while (waiting[head]?.run === null) head++;
      const due = waiting[head];
      if (due === undefined) return false;
      head++;
      nowMs = due.atMs;
      due.run?.();
      return true;
    },
  };
}
