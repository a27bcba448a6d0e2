/**
 * Notices that something in a folder may have changed: at once where the system tells, within seconds where it does not
 * (network drives, a folder that is made later).
 */
import { type FSWatcher, watch } from 'node:fs';
import type { Timers } from '#kit';

/** An editor saves in several steps. */
const SETTLE_MS = 300;
const RESCAN_MS = 5000;

/** Calls `look` now and then, never twice at once; it must not reject. */
export function watchFolders(
  folders: readonly string[],
  timers: Timers,
  look: () => Promise<unknown>,
): { close(): void } {
  const watching = new Map<string, FSWatcher>();
  let over = false;
  let looking = false;
  let toldMeanwhile = false;
  let cancel: () => void;

  const listen = (folder: string): void => {
    if (watching.has(folder)) return;
    try {
      const watcher = watch(folder, { persistent: false }, () => soon());
      watcher.on('error', () => forget(folder));
      watching.set(folder, watcher);
    } catch (cause) {
      // Missing, or a system that cannot tell: the slow look sees it too.
      if (typeof (cause as NodeJS.ErrnoException).code !== 'string') throw cause;
    }
  };
  const forget = (folder: string): void => {
    watching.get(folder)?.close();
    watching.delete(folder);
  };
  const soon = (): void => {
    toldMeanwhile = looking;
    if (!looking) wait(SETTLE_MS);
  };
  const wait = (delayMs: number): void => {
    if (over) return;
    cancel();
    cancel = timers.after(delayMs, () => void round());
  };
  const round = async (): Promise<void> => {
    for (const folder of folders) listen(folder);
    looking = true;
    toldMeanwhile = false;
    await look();
    looking = false;
    wait(toldMeanwhile ? SETTLE_MS : RESCAN_MS);
  };
  for (const folder of folders) listen(folder);
  cancel = timers.after(RESCAN_MS, () => void round());
  return {
    close() {
      over = true;
      cancel();
      for (const folder of [...watching.keys()]) forget(folder);
    },
  };
}
