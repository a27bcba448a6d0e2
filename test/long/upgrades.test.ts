/** Every statement of every upgrade, and every kilobyte of room a start with an upgrade may lack. */
import { copyFileSync, mkdirSync, readdirSync, rmSync, truncateSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { WattkeepError } from '#kit';
import { openRecord } from '../../agent/store/open.ts';
import { fillUp } from '../support/fill-up.ts';
import { goldenFolder } from '../support/golden-record.ts';
import { needsRoot, smallDisk } from '../support/needs-root.ts';
import { START_AT } from '../support/record.ts';
import { expectAllThere, killBeforeStatements, NEWEST, schemaIn } from '../support/upgrades.ts';

const RELEASED = Array.from({ length: NEWEST - 1 }, (_, i) => i + 1);

describe.each(RELEASED)('an upgrade from schema %i', version => {
  test('that is killed before any of its statements leaves the old schema or the new one, whole', () => {
    expect(killBeforeStatements(version, 1)).toBeGreaterThan(3);
  });

  needsRoot('on a disk with any lack of room leaves the old schema or the new one, whole', () => {
    const disk = smallDisk('2m');
    const golden = goldenFolder(version);
    const [dir, filler] = [join(disk.dir, 'data'), join(disk.dir, 'filler')];
    let refused = 0;
    let taken = 0;
    for (let leaveBytes = 0; taken < 3 && leaveBytes < 1_500_000; leaveBytes += 8192) {
      rmSync(dir, { recursive: true, force: true });
      rmSync(filler, { force: true });
      mkdirSync(dir);
      copyFileSync(join(golden, 'record.db'), join(dir, 'record.db'));
      fillUp(filler, leaveBytes);
      try {
        openRecord(dir, { nowMs: () => START_AT, commitIntervalMs: 10_000 }).close();
        taken++;
      } catch (error) {
        if (!(error instanceof WattkeepError)) throw error;
        expect(error.code).toBe('DISK_FULL');
        refused++;
      }
      truncateSync(filler, 0);
      expect([version, NEWEST]).toContain(schemaIn(dir));
      const kept = readdirSync(dir).filter(name => name.startsWith('before-'));
      expect([0, 2]).toContain(kept.length);
      expectAllThere(dir, version);
    }
    expect(refused).toBeGreaterThan(3);
    expect(taken).toBe(3);
  });
});
