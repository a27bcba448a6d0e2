/** A clock that moves only when a test says so; timers fire in order on the way. */
export interface HandClock {
  now(): number;
  monoMs(): number;
  after(delayMs: number, act: () => void): () => void;
  every(periodMs: number, act: () => void): () => void;
  /** Moves both clocks on and fires what falls due. */
  advance(ms: number): void;
  /** Moves both clocks on as a computer that sleeps: what falls due meanwhile fires so much later. */
  skip(ms: number): void;
}

/** @param startAt wall time at the start, epoch ms; the monotonic clock starts at 0 */
export function handClock(startAt = Date.UTC(2026, 5, 21, 12)): HandClock {
  interface Timer {
    dueMs: number;
    periodMs: number | null;
    act: () => void;
  }
  const timers = new Set<Timer>();
  let monoMs = 0;
  const add = (dueMs: number, periodMs: number | null, act: () => void) => {
    const timer = { dueMs, periodMs, act };
    timers.add(timer);
    return () => {
      timers.delete(timer);
    };
  };
  return {
    now: () => startAt + monoMs,
    monoMs: () => monoMs,
    after: (delayMs, act) => add(monoMs + delayMs, null, act),
    every: (periodMs, act) => add(monoMs + periodMs, periodMs, act),
    advance(ms) {
      const until = monoMs + ms;
      for (;;) {
        let next: Timer | undefined;
        for (const timer of timers)
          if (timer.dueMs <= until && (next === undefined || timer.dueMs < next.dueMs)) next = timer;
        if (next === undefined) break;
        monoMs = next.dueMs;
        if (next.periodMs === null) timers.delete(next);
        else next.dueMs += next.periodMs;
        next.act();
      }
      monoMs = until;
    },
    skip(ms) {
      monoMs += ms;
      for (const timer of timers) timer.dueMs += ms;
    },
  };
}
