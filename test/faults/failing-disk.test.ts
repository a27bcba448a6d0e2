import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { describe, expect, onTestFinished } from 'vitest';
import { writeThroughFailure } from '../support/failing-calls.ts';
import { needs } from '../support/needs.ts';
import { needsRoot } from '../support/needs-root.ts';
import { batch, dayDelta, openTestRecord, reading } from '../support/record.ts';

describe('a disk that fails at one call', () => {
  needs('cc')(
    'loses nothing acknowledged and counts nothing twice, whichever call it is',
    async () => {
      const refused: string[] = [];
      for (const [at, times, what] of [
        [9, 1, 'flush'],
        [14, 3, 'flush'],
        [33, 2, 'write'],
        [40, 0, 'both'],
      ] as const)
        for (const growing of [false, true]) refused.push(...(await writeThroughFailure({ at, times, what, growing })));
      expect(refused).toContain('DISK_READ_ONLY');
    },
    120_000,
  );
});

const run = (program: string, ...args: string[]) => execFileSync(program, args, { stdio: 'pipe', encoding: 'utf8' });

/** An ext4 of its own in a file; null where this kernel cannot make its errors. */
function faultyDisk(): { dir: string; fault(): void } | null {
  const place = mkdtempSync(join(tmpdir(), 'wattkeep-ext4-'));
  const [image, dir] = [join(place, 'image'), join(place, 'mounted')];
  run('truncate', '-s', '48M', image);
  run('mkfs.ext4', '-q', '-F', '-e', 'remount-ro', image);
  run('mkdir', dir);
  run('mount', '-o', 'loop,errors=remount-ro', image, dir);
  const device = basename(run('findmnt', '-n', '-o', 'SOURCE', dir).trim());
  onTestFinished(() => {
    run('umount', '-l', dir);
    rmSync(place, { recursive: true, force: true });
  });
  const trigger = `/sys/fs/ext4/${device}/trigger_fs_error`;
  return existsSync(trigger) ? { dir, fault: () => writeFileSync(trigger, 'a fault of a test') } : null;
}

describe('a file system that turns read-only after an error', () => {
  needsRoot('is told in words, and everything saved before can still be read', ({ skip }) => {
    const disk = faultyDisk();
    if (disk === null) return skip('this kernel offers no trigger_fs_error: run it on a Linux with ext4 built in');
    const record = openTestRecord(join(disk.dir, 'data'));
    const minutes = (from: number) =>
      batch(
        Array.from({ length: 50 }, (_, i) => reading(from + i, { inputPowerW: i })),
        { days: [dayDelta({ solarMilliJ: 50 })] },
      );
    record.commit(minutes(1));
    disk.fault();
    expect(() => record.commit(minutes(51))).toThrow(expect.objectContaining({ code: 'DISK_READ_ONLY' }));
    expect(record.savedState().trouble).toBe('DISK_READ_ONLY');
    expect([...record.readings('shed', 0, 8e15)]).toHaveLength(50);
    expect(record.days('shed', '', '9')[0]!.solarMilliJ).toBe(50);
    expect(() => record.commit(minutes(51))).toThrow(expect.objectContaining({ code: 'DISK_READ_ONLY' }));
    record.close();
  });
});
