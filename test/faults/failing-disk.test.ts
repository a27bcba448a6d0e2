import { join } from 'node:path';
import { describe, expect } from 'vitest';
import { writeThroughFailure } from '../support/failing-calls.ts';
import { needs } from '../support/needs.ts';
import { faultyDisk, needsRoot } from '../support/needs-root.ts';
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
