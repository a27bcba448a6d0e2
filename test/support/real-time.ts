/** The clock and timers of this computer, for tests of real processes, ports and sockets. */
import type { Clock, Timers } from '#kit';

export const realClock: Clock = { nowMs: () => Date.now(), monoMs: () => performance.now() };

export const realTimers: Timers = {
  after(delayMs, run) {
    const timer = setTimeout(run, delayMs);
    return () => clearTimeout(timer);
  },
};

/** Resolves once `holds` gives true; the test's own time limit is the only deadline. */
export async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await new Promise(resolve => setTimeout(resolve, 5));
}
