/** Faults in pairs: the second comes while the first is being dealt with. */
import { readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect } from 'vitest';
import { rescueRecord } from '../../agent/store/keep/rescue.ts';
import { openRecord } from '../../agent/store/open.ts';
import { startChild } from '../support/child.ts';
import { destroy, makeNoisy, rootOf } from '../support/damage.ts';
import { copyFolder, fillUp } from '../support/fill-up.ts';
import { expectWholeRecord } from '../support/kill-rounds.ts';
import { needsRoot, smallDisk } from '../support/needs-root.ts';
import { freshFolder, openTestRecord, START_AT } from '../support/record.ts';

describe('a page is damaged and the disk is full', () => {
  needsRoot('nothing is moved, and with room the rescue finds all that can be read', () => {
    const disk = smallDisk('6m');
    const [made, dir, filler] = [freshFolder(), join(disk.dir, 'data'), join(disk.dir, 'filler')];
    const readings = makeNoisy(made, 3);
    copyFolder(made, dir);
    const damaged = destroy(dir, [rootOf(dir, 'rb')]);
    fillUp(filler, 100_000);
    const before = readdirSync(dir).sort();
    expect(() => openRecord(dir, { nowMs: () => START_AT, commitIntervalMs: 0 })).toThrow(
      expect.objectContaining({ code: 'RECORD_DAMAGED' }),
    );
    expect(() => rescueRecord(dir, ['shed'], START_AT)).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
    expect(readdirSync(dir).sort()).toEqual(before);
    expect(destroy(dir, []).equals(damaged)).toBe(true);

    rmSync(filler);
    disk.grow('32m');
    expect(rescueRecord(dir, ['shed'], START_AT).readings).toBe(readings);
    const record = openTestRecord(dir);
    expect(record.check()).toEqual([]);
    expect([...record.readings('shed', 0, 8e15)]).toHaveLength(readings);
  });
});

describe('the disk is full and the agent is killed', () => {
  needsRoot('whatever was acknowledged is there, whole, and saving goes on with room', async () => {
    const disk = smallDisk('1m');
    const dir = join(disk.dir, 'data');
    const acknowledged: { session: string; seq: number }[] = [];
    for (const seed of [1, 2]) {
      const child = startChild('test/store/children/writer.ts', [dir, String(seed)]);
      // The second one starts on the full disk, and may not be able to open at all.
      for (let refused = 0; refused < 3; ) {
        const line = await child.line();
        if (line === null) break;
        const told = JSON.parse(line) as { session: string; seq: number; failed?: string };
        if (told.failed === undefined) acknowledged.push(told);
        else {
          expect(told.failed).toBe('DISK_FULL');
          refused++;
        }
      }
      await child.kill();
    }
    expect(acknowledged.length).toBeGreaterThan(10);
    disk.grow('16m');
    expectWholeRecord(dir, acknowledged);
    const child = startChild('test/store/children/writer.ts', [dir, '3']);
    acknowledged.push(JSON.parse((await child.line()) ?? child.stderr()));
    await child.kill();
    expectWholeRecord(dir, acknowledged);
  });
});
