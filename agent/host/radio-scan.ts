/**
 * One search for all who want to hear peripherals: it runs while anybody listens and rests while a connection is being
 * made, which many adapters cannot do at the same time.
 */
import type { Timers } from '#kit';
import type { Library, Peripheral } from './radio-library.ts';

export interface Scan {
  /** Each advertisement heard from now on; the answer ends the listening. */
  listen(hear: (peripheral: Peripheral) => void): () => void;
  /** Rests while `run` is under way; one at a time, in order. */
  resting<T>(run: () => Promise<T>): Promise<T>;
}

const STOP_LIMIT_MS = 1000;
/** A search that somebody else stopped is taken up again after so long. */
const AGAIN_MS = 1000;

export function createScan(library: Library, timers: Timers): Scan {
  const listeners = new Set<(peripheral: Peripheral) => void>();
  let on = false;
  let turns: Promise<unknown> = Promise.resolve();
  let resting = 0;

  const start = (): void => {
    if (on || resting > 0 || listeners.size === 0) return;
    on = true;
    library.startScanning([], true, failure => {
      if (failure === undefined || failure === null) return;
      on = false;
      timers.after(AGAIN_MS, start);
    });
  };
  /** Resolves once the library says that it stopped, or after a limit. */
  const stop = (): Promise<void> => {
    if (!on) return Promise.resolve();
    on = false;
    return new Promise(resolve => {
      const cancel = timers.after(STOP_LIMIT_MS, resolve);
      library.stopScanning(() => {
        cancel();
        resolve();
      });
    });
  };

  library.on('discover', peripheral => {
    for (const hear of [...listeners]) hear(peripheral);
  });
  library.on('scanStop', () => {
    if (!on) return;
    // Beginning a search tells a stop too; one that really stopped hears of no one until it is begun anew.
    timers.after(AGAIN_MS, () => {
      if (on) library.startScanning([], true, () => undefined);
    });
  });

  return {
    listen(hear) {
      listeners.add(hear);
      start();
      return () => {
        listeners.delete(hear);
        if (listeners.size === 0 && resting === 0) void stop();
      };
    },
    resting(run) {
      resting += 1;
      const turn = turns.then(stop).then(run);
      turns = turn
        .catch(() => undefined)
        .finally(() => {
          resting -= 1;
          start();
        });
      return turn;
    },
  };
}
