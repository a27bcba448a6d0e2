/**
 * The process that knows time zones, begun before the agent's own code is read: it needs as long as that to start, and its
 * answer is waited for. It is told the names once the settings are known.
 */
import { type ChildProcess, execFile } from 'node:child_process';
import { join } from 'node:path';
import type { PrintedZones } from './zone-printer.ts';

const ALLOWED_MS = 10_000;

export interface ZoneChild {
  /** Once. null where it fails: why does not matter, Intl of this process knows the same. */
  ask(zones: readonly string[]): Promise<PrintedZones | null>;
  /** Ends it where it was not asked. Idempotent. */
  close(): void;
}

/** @param dist root of the built program */
export function beginZones(dist: string): ZoneChild {
  const entry = join(dist, 'agent', 'commands', 'run', 'zone-printer.js');
  let child: ChildProcess | undefined;
  const printed = new Promise<PrintedZones | null>(resolve => {
    child = execFile(process.execPath, [entry], { timeout: ALLOWED_MS }, (failure, stdout) => {
      resolve(failure === null ? parsed(stdout) : null);
    });
  });
  // It may have ended without listening.
  child?.stdin?.on('error', () => undefined);
  return {
    ask(zones) {
      child?.stdin?.end(zones.join('\n'));
      return printed;
    },
    close: () => void child?.kill(),
  };
}

function parsed(text: string): PrintedZones | null {
  try {
    return JSON.parse(text) as PrintedZones;
  } catch {
    return null;
  }
}
