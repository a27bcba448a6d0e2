/** The page's clock moved by hand: timers fire in order, frames are shown when the test says so. */
import type { PageClock } from '../../web/state/page-clock.ts';

export interface HandPageClock extends PageClock {
  advance(ms: number): void;
  /** Shows a frame: everything waiting for one is called. */
  show(): void;
}

export function handPageClock(wallStartAt: number): HandPageClock {
  let nowMs = 0;
  let timers: { dueMs: number; call: () => void }[] = [];
  let frames: (() => void)[] = [];
  return {
    nowMs: () => nowMs,
    wallIso: () => new Date(wallStartAt + nowMs).toISOString(),
    after(delayMs, call) {
      const timer = { dueMs: nowMs + delayMs, call };
      timers.push(timer);
      const cancel = () => {
        timers = timers.filter(t => t !== timer);
      };
      return { cancel };
    },
    whenShown: call => void frames.push(call),
    show() {
      const waiting = frames;
      frames = [];
      for (const call of waiting) call();
    },
    advance(ms) {
      const until = nowMs + ms;
      for (;;) {
        const next = timers.filter(t => t.dueMs <= until).sort((a, b) => a.dueMs - b.dueMs)[0];
        if (next === undefined) break;
        timers = timers.filter(t => t !== next);
        nowMs = next.dueMs;
        next.call();
      }
      nowMs = until;
    },
  };
}
