/**
 * Tests that mount disks of their own (a full one, a read-only one) need root on Linux. For an ordinary user they are
 * pending and say how to run them; where CI=true they fail instead.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { it, onTestFinished } from 'vitest';

const WHY = 'needs root on Linux: run it as `sudo npx vitest run --config test/vitest.config.ts`';

/** `skip` leaves a test undone where this computer lacks something else, and says what. */
type Run = (context: { skip(why: string): never }) => Promise<void> | void;

export function needsRoot(sentence: string, run: Run, timeoutMs?: number): void {
  if (process.platform === 'linux' && process.getuid?.() === 0) it(sentence, run, timeoutMs);
  else if (process.env.CI !== 'true') it.skip(`${sentence} (pending: ${WHY})`, run);
  else {
    it(sentence, () => {
      throw new Error(WHY);
    });
  }
}

const command = (program: string, ...args: string[]) => execFileSync(program, args, { stdio: 'pipe' });

export interface Disk {
  dir: string;
  /** Makes the disk larger, as if something had been deleted elsewhere. */
  grow(size: string): void;
}

/** A disk in memory of a few megabytes, gone with the test. */
export function smallDisk(size: string): Disk {
  const dir = mkdtempSync(join(tmpdir(), 'wattkeep-disk-'));
  command('mount', '-t', 'tmpfs', '-o', `size=${size}`, 'tmpfs', dir);
  onTestFinished(() => {
    command('umount', '-l', dir);
    rmSync(dir, { recursive: true, force: true });
  });
  return { dir, grow: larger => command('mount', '-o', `remount,size=${larger}`, dir) };
}

/** Another view of a folder that takes no writes. */
export function readOnlyView(of: string): string {
  const dir = mkdtempSync(join(tmpdir(), 'wattkeep-view-'));
  mkdirSync(dir, { recursive: true });
  command('mount', '--bind', of, dir);
  command('mount', '-o', 'remount,ro,bind', dir);
  onTestFinished(() => {
    command('umount', '-l', dir);
    rmSync(dir, { recursive: true, force: true });
  });
  return dir;
}
