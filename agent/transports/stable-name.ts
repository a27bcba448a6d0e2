/**
 * The name of a serial port that stays with its device: the system links each port under what the device says it is. A
 * plain name (ttyUSB0) is given out in the order of plugging in, so after a replug it may lead to another device.
 */
import { readdirSync, realpathSync } from 'node:fs';
import { join } from 'node:path';

/** Where Linux keeps them. Devices without a number of their own share a name, and are not told apart by it. */
export const BY_ID = '/dev/serial/by-id';

/** What a name leads to now; null where it leads nowhere. */
export const leadsTo = (path: string): string | null => {
  try {
    return realpathSync(path);
  } catch {
    return null;
  }
};

/** Looks once; gives the stable name of what a path leads to, or null where the system keeps none. */
export function stableNames(folder: string): (path: string) => string | null {
  const names = new Map<string, string>();
  try {
    for (const name of readdirSync(folder).sort()) {
      const device = leadsTo(join(folder, name));
      if (device !== null) names.set(device, join(folder, name));
    }
  } catch {
    // Another system, or nothing plugged in.
  }
  return path => names.get(leadsTo(path) ?? path) ?? null;
}
