/** Work that comes round again, on the timers it is given. */
import type { Timers } from '#kit';

/** Lets everything that waits run first. */
export const giveWay = (timers: Timers) => () => new Promise<void>(done => void timers.after(0, done));

/** Runs `act` again and again, the pause looked up each time; the answer stops it. */
export function repeat(timers: Timers, everyMs: () => number, act: () => void): () => void {
  let cancel = timers.after(everyMs(), round);
  function round(): void {
    cancel = timers.after(everyMs(), round);
    act();
  }
  return () => cancel();
}
