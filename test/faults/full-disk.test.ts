import { readdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import type { Batch } from '#messages';
import { notesTold } from '../../agent/commands/record-words.ts';
import { fillUp } from '../support/fill-up.ts';
import { seededRandom } from '../support/kill-rounds.ts';
import { needsRoot, smallDisk } from '../support/needs-root.ts';
import { batch, dayDelta, openTestRecord, reading, START_AT } from '../support/record.ts';

const MIB = 1024 * 1024;
const random = seededRandom(11);

/** Readings that hardly compress. */
function noise(from: number, count: number): Batch {
  const readings = Array.from({ length: count }, (_, i) =>
    reading(from + i, {
      inputPowerW: Math.round(random() * 200_000) / 10,
      batteryVoltageV: Math.round(random() * 100_000) / 100,
    }),
  );
  return batch(readings, { days: [dayDelta({ solarMilliJ: count })] });
}

const count = (dir: string, table: string): number => {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const rows = db.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get()!;
  db.close();
  return rows;
};

describe('the reserve', () => {
  needsRoot('is made where there is room, for the owner alone, and not on a disk that it would fill itself', () => {
    const large = openTestRecord(join(smallDisk('96m').dir, 'data'));
    large.upkeep();
    expect(large.savedState().trouble).toBeNull();
    const small = join(smallDisk('40m').dir, 'data');
    openTestRecord(small).upkeep();
    expect(readdirSync(small)).not.toContain('reserve');
  });

  needsRoot('lets the running hour be saved and the end be clean, once; saving goes on when there is room', () => {
    const disk = smallDisk('96m');
    const dir = join(disk.dir, 'data');
    const [reserve, filler] = [join(dir, 'reserve'), join(disk.dir, 'filler')];
    let nowMs = START_AT;
    const record = openTestRecord(dir, { nowMs: () => nowMs });
    record.commit(noise(1, 200));
    record.upkeep();
    expect(statSync(reserve).size).toBe(16 * MIB);
    expect(statSync(reserve).mode & 0o777).toBe(0o600);
    fillUp(filler, 200_000);

    let saved = 200;
    while (record.savedState().trouble === null && saved < 100_000) {
      nowMs += 10_000;
      record.commit(noise(saved + 1, 200));
      saved += 200;
    }
    // The commit that found the disk full is saved, its hour is a whole block, and the owner is told.
    const since = nowMs;
    expect(record.savedState()).toMatchObject({ trouble: 'DISK_FULL', troubleSinceAt: since });
    expect(record.latest('shed')!.seq).toBe(saved);
    expect(count(dir, 'tail')).toBe(0);
    expect(statSync(reserve).size).toBe(0);
    expect(notesTold(record.savedState().notes!)).toEqual([expect.stringMatching(/^Free at least [12]0 MB\.$/)]);

    for (let round = 0; round < 3; round++) {
      nowMs += 10_000;
      expect(() => record.commit(noise(saved + 1, 200))).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
      record.upkeep();
    }
    expect(statSync(reserve).size).toBe(0);
    expect(record.savedState()).toMatchObject({ trouble: 'DISK_FULL', troubleSinceAt: since });
    // A clean stop loses nothing of what was held.
    record.commit(noise(saved + 1, 2000), true);
    saved += 2000;
    record.close();
    expect(readdirSync(dir)).not.toContain('record.db-wal');

    const again = openTestRecord(dir, { nowMs: () => nowMs });
    expect(again.latest('shed')!.seq).toBe(saved);
    expect(() => again.commit(noise(saved + 1, 200))).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
    rmSync(filler);
    again.commit(noise(saved + 1, 200));
    expect(again.savedState()).toMatchObject({ trouble: null, troubleSinceAt: null });
    expect(statSync(reserve).size).toBe(16 * MIB);
    expect(again.days('shed', '', '9')[0]!.solarMilliJ).toBe(saved + 200);
    expect(again.check()).toEqual([]);
  });
});

describe('a disk with little room', () => {
  needsRoot('is told with how much to free, before saving stops', () => {
    const record = openTestRecord(join(smallDisk('96m').dir, 'data'));
    record.commit(noise(1, 20));
    record.upkeep();
    expect(record.savedState().trouble).toBeNull();
    expect(notesTold(record.savedState().notes!)).toEqual([
      expect.stringMatching(
        /^Little room is left on the disk of the record: \d+ MB\. Free 4[0-9]0 MB before saving stops\.$/,
      ),
    ]);
  });

  test('is told with what a full one still needs in one sentence, not two', () => {
    const low = { kind: 'lowSpace', freeBytes: 3e6, wantedBytes: 5e8 } as const;
    expect(notesTold([{ kind: 'toFree', bytes: 21e6 }, low])).toEqual(['Free at least 30 MB.']);
    expect(notesTold([low])).toEqual([
      'Little room is left on the disk of the record: 3 MB. Free 500 MB before saving stops.',
    ]);
  });
});
