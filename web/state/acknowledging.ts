/**
 * Tells the agent up to which number messages have been shown: every fifth one, else a quarter of a second later. Each
 * acknowledgement costs the agent a read of the socket, and its window is twice as wide as this.
 */
import type { PageClock, TimerHandle } from './page-clock.ts';

const EVERY = 5;
const WITHIN_MS = 250;

export interface Acknowledging {
  /** Message number n was taken; it counts once a frame has shown it. */
  took(n: number): void;
  /** A new line: nothing taken on the old one is told any more. */
  reset(): void;
}

export function createAcknowledging(clock: PageClock, tell: (n: number) => void): Acknowledging {
  let line = 0;
  let takenUpTo = 0;
  let shownUpTo = 0;
  let toldUpTo = 0;
  let frameDue = false;
  let quiet: TimerHandle | null = null;

  function say(): void {
    quiet?.cancel();
    quiet = null;
    if (shownUpTo === toldUpTo) return;
    toldUpTo = shownUpTo;
    tell(toldUpTo);
  }

  return {
    took(n) {
      takenUpTo = Math.max(takenUpTo, n);
      if (frameDue) return;
      frameDue = true;
      const mine = line;
      clock.whenShown(() => {
        if (line !== mine) return;
        frameDue = false;
        shownUpTo = takenUpTo;
        if (shownUpTo - toldUpTo >= EVERY) say();
        else quiet ??= clock.after(WITHIN_MS, say);
      });
    },
    reset() {
      line++;
      quiet?.cancel();
      quiet = null;
      takenUpTo = shownUpTo = toldUpTo = 0;
      frameDue = false;
    },
  };
}
