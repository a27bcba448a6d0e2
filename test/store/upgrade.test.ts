import { existsSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { migrate } from '../../agent/store/connection.ts';
import { restoreSnapshot } from '../../agent/store/keep/restore.ts';
import { MIGRATIONS } from '../../agent/store/migrations/index.ts';
import { openRecord } from '../../agent/store/open.ts';
import { copyFolder, fillUp } from '../support/fill-up.ts';
import { fillGolden, GOLDEN_READINGS, goldenFolder } from '../support/golden-record.ts';
import { needsRoot, smallDisk } from '../support/needs-root.ts';
import { openTestRecord, START_AT } from '../support/record.ts';
import { expectAllThere, killBeforeStatements, NEWEST, schemaIn } from '../support/upgrades.ts';

const RELEASED = Array.from({ length: NEWEST - 1 }, (_, i) => i + 1);
const options = { nowMs: () => START_AT, commitIntervalMs: 10_000 };

describe.each(RELEASED)('a record of schema %i', version => {
  test('is brought up with all that it holds, and is kept as it was', () => {
    const dir = goldenFolder(version);
    expectAllThere(dir, version);
    const kept = join(dir, `before-${NEWEST}.db`);
    expect(existsSync(`${kept}.json`)).toBe(true);
    restoreSnapshot(dir, kept, { atMs: START_AT, program: '0.1.0' });
    expect(schemaIn(dir)).toBe(version);
    expectAllThere(dir, version);
  });

  test('can be asked for all that a newer one holds by who may not bring it up', () => {
    const dir = goldenFolder(version);
    const reader = openTestRecord(dir, { readOnly: true });
    expect([...reader.readings('shed', 0, START_AT * 2)]).toEqual(GOLDEN_READINGS);
    expect(reader.learned('shed')).toBe(version >= 2 ? '{"a":1}' : null);
    expect(reader.spots('shed')).toHaveLength(version >= 4 ? 1 : 0);
    expect(reader.trials('shed')).toHaveLength(version >= 10 ? 1 : 0);
    expect(reader.facts('shed')).toHaveLength(1);
    reader.close();
    expect(schemaIn(dir)).toBe(version);
    expectAllThere(dir, version);
  });

  test('stays whole where any statement of the upgrade fails, and where the disk is full at any page', () => {
    let stopAt = 0;
    let ran = 0;
    const golden = new Database(':memory:', {
      verbose: () => {
        if (stopAt > 0 && ++ran === stopAt) throw new Error('stopped');
      },
    });
    for (const { sql } of MIGRATIONS.slice(0, version)) golden.exec(sql);
    golden.pragma(`user_version = ${version}`);
    fillGolden(golden, version);
    const image = golden.serialize();
    for (stopAt = 1; ; stopAt++) {
      ran = 0;
      let failed = false;
      try {
        migrate(golden, MIGRATIONS);
      } catch {
        failed = true;
      }
      if (!failed) break;
      const halted = stopAt;
      stopAt = 0;
      expect(golden.inTransaction).toBe(false);
      expect(golden.pragma('user_version', { simple: true })).toBe(version);
      expect(objects(golden)).toEqual(objects(new Database(image)));
      stopAt = halted;
    }
    expect(stopAt).toBeGreaterThan(3);
    for (let room = 0; ; room++) {
      const full = new Database(image);
      full.pragma(`max_page_count = ${Number(full.pragma('page_count', { simple: true })) + room}`);
      let code: unknown = null;
      try {
        migrate(full, MIGRATIONS);
      } catch (error) {
        code = (error as { code: string }).code;
      }
      const done = code === null;
      if (!done) expect(code).toBe('SQLITE_FULL');
      expect(full.pragma('user_version', { simple: true })).toBe(done ? NEWEST : version);
      if (!done) expect(objects(full)).toEqual(objects(new Database(image)));
      full.close();
      if (done) break;
    }
  });
});

const objects = (db: Database.Database) => db.prepare('SELECT name, sql FROM sqlite_schema ORDER BY name').all();

test('an upgrade that is killed leaves the old schema or the new one, with all that was recorded', () => {
  expect(killBeforeStatements(RELEASED[0]!, 7)).toBeGreaterThan(4);
});

test('the two newest of what was kept before upgrades stay', () => {
  const dir = goldenFolder(RELEASED.at(-1)!);
  for (const old of [2, 3, 4])
    for (const end of ['db', 'db.json']) writeFileSync(join(dir, `before-${old}.${end}`), 'older');
  openTestRecord(dir).close();
  expect(
    readdirSync(dir)
      .filter(name => name.startsWith('before-'))
      .sort(),
  ).toEqual(['before-4.db', 'before-4.db.json', `before-${NEWEST}.db`, `before-${NEWEST}.db.json`].sort());
});

needsRoot('a disk without room for what is kept before an upgrade leaves the old schema, which can be read', () => {
  const disk = smallDisk('1m');
  const dir = goldenFolder(RELEASED[0]!);
  const there = join(disk.dir, 'data');
  copyFolder(dir, there);
  fillUp(join(disk.dir, 'filler'), 20_000);
  expect(() => openRecord(there, options)).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
  const reader = openTestRecord(there, { readOnly: true });
  expect(reader.latest('shed')).toEqual(GOLDEN_READINGS.at(-1));
  expect(reader.savedState().trouble).toBe('DISK_FULL');
  reader.close();
  disk.grow('4m');
  expect(schemaIn(there)).toBe(RELEASED[0]);
  expect(readdirSync(there).filter(name => name.startsWith('before-'))).toEqual([]);
  expectAllThere(there, RELEASED[0]!);
});
