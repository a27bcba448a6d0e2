/**
 * Tests that mount disks of their own (a full one, a read-only one) need root on Linux. For an ordinary user they are
 * pending and say how to run them; where CI=true they fail instead.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
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

export interface FaultyDisk {
  dir: string;
  /** The kernel finds an error on it: from here on it takes no writes. */
  fault(): void;
  /** Taken out, repaired and put in again; nothing on it may be open. */
  repair(): void;
}

/** An ext4 of its own in a file in memory; null where this kernel cannot make its errors. */
export function faultyDisk(): FaultyDisk | null {
  const place = smallDisk('64m').dir;
  const [image, dir] = [join(place, 'image'), join(place, 'mounted')];
  command('truncate', '-s', '48M', image);
  command('mkfs.ext4', '-q', '-F', '-e', 'remount-ro', image);
  mkdirSync(dir);
  const mount = () => command('mount', '-o', 'loop,errors=remount-ro', image, dir);
  mount();
  onTestFinished(() => void command('umount', '-l', dir));
  const trigger = () =>
    `/sys/fs/ext4/${basename(String(command('findmnt', '-n', '-o', 'SOURCE', dir)).trim())}/trigger_fs_error`;
  if (!existsSync(trigger())) return null;
  return {
    dir,
    fault: () => writeFileSync(trigger(), 'a fault of a test'),
    repair() {
      command('umount', dir);
      // It ends with 1 where it mended something.
      command('sh', '-c', 'e2fsck -fy "$0" || [ $? = 1 ]', image);
      mount();
    },
  };
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
