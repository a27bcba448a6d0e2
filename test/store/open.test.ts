import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { connectWriter, migrate, refuseOldSqlite } from '../../agent/store/connection.ts';
import { networkFileSystem, refuseNetworkDisk } from '../../agent/store/folder.ts';
import { snapshotRecord } from '../../agent/store/keep/snapshot-record.ts';
import { MIGRATIONS } from '../../agent/store/migrations/index.ts';
import { openRecord } from '../../agent/store/open.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const options = { nowMs: () => START_AT, commitIntervalMs: 10_000 };
const modeOf = (path: string) => (statSync(path).mode & 0o777).toString(8);
const digest = (path: string) => createHash('sha256').update(readFileSync(path)).digest('hex');

/** A closed record with a few sealed hours in it. */
function filled(): { dir: string; path: string } {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  for (let hour = 0; hour < 60; hour++) {
    const rows = Array.from({ length: 60 }, (_, i) => {
      const seq = hour * 60 + i + 1;
      return reading(seq, { inputPowerW: ((seq * 7919) % 20_000) / 10 }, { at: START_AT + seq * 60_000 });
    });
    record.commit(batch(rows));
  }
  record.close();
  return { dir, path: join(dir, 'record.db') };
}

describe('a data folder', () => {
  test('is made for its owner only, whatever the umask allows', () => {
    const umask = process.umask(0);
    try {
      const dir = freshFolder();
      const record = openTestRecord(dir);
      record.commit(batch([reading(1, { inputPowerW: 1 })]));
      expect(modeOf(dir)).toBe('700');
      const files = readdirSync(dir);
      expect(files).toEqual(expect.arrayContaining(['lock.db', 'lock.txt', 'record.db', 'record.db-wal']));
      for (const file of files) expect([file, modeOf(join(dir, file))]).toEqual([file, '600']);
    } finally {
      process.umask(umask);
    }
  });

  test('holds no write-ahead log after closing, and closing twice is the same as once', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    record.commit(batch([reading(1, { inputPowerW: 1 })]));
    record.close();
    record.close();
    expect(readdirSync(dir).sort()).toEqual(['closed.txt', 'lock.db', 'lock.txt', 'record.db']);
    expect(() => record.commit(batch([]))).toThrow(/closed/);
  });

  test('on a network disk is refused with its kind, where that can be known', () => {
    expect(networkFileSystem(0x6969)).toBe('NFS');
    expect(networkFileSystem(-11317950)).toBe('SMB');
    expect(networkFileSystem(0xef53)).toBeNull();
    expect(() => refuseNetworkDisk('/mnt/x', 0x6969, 'linux')).toThrow(
      expect.objectContaining({ code: 'DATA_NETWORK_DISK', message: expect.stringMatching(/\/mnt\/x.*NFS/) }),
    );
    expect(() => refuseNetworkDisk('/mnt/x', 0x6969, 'darwin')).not.toThrow();
    expect(() => refuseNetworkDisk('/mnt/x', 0xef53, 'linux')).not.toThrow();
  });

  test.runIf(existsSync('/proc/self'))('where none can be made is refused with what to do, at once', () => {
    expect(() => openRecord('/proc/wattkeep/data', options)).toThrow(
      expect.objectContaining({ code: 'USAGE', fix: expect.stringMatching(/one that can be made/) }),
    );
  });

  test('that is a file is refused', () => {
    const dir = freshFolder();
    writeFileSync(dir, 'a file');
    expect(() => openRecord(dir, options)).toThrow(expect.objectContaining({ name: 'WattkeepError' }));
  });
});

describe('the connection', () => {
  test('runs write-ahead logging at FULL with foreign keys', () => {
    const { path } = filled();
    const db = connectWriter(path);
    const pragma = (name: string) => db.pragma(name, { simple: true });
    expect(pragma('journal_mode')).toBe('wal');
    expect(pragma('synchronous')).toBe(2);
    expect(pragma('foreign_keys')).toBe(1);
    expect(pragma('busy_timeout')).toBe(5000);
    expect(pragma('journal_size_limit')).toBe(16 * 1024 * 1024);
    expect(pragma('user_version')).toBe(MIGRATIONS.length);
    db.close();
  });

  test.each(['3.51.2', '3.50.7', '3.7.17', '2.99.99', ''])('refuses SQLite %s', version => {
    expect(() => refuseOldSqlite(version)).toThrow(expect.objectContaining({ code: 'SQLITE_OLD' }));
  });

  test.each(['3.51.3', '3.51.10', '3.52.0', '4.0.0'])('takes SQLite %s', version => {
    expect(() => refuseOldSqlite(version)).not.toThrow();
  });

  test('a migration that fails halfway leaves the schema before it', () => {
    const { path } = filled();
    const db = connectWriter(path);
    const next = MIGRATIONS.length + 1;
    const broken = { version: next, sql: 'CREATE TABLE extra (a); INSERT INTO nowhere VALUES (1);' };
    expect(() => migrate(db, [...MIGRATIONS, broken])).toThrow();
    expect(db.pragma('user_version', { simple: true })).toBe(MIGRATIONS.length);
    expect(db.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'extra'").pluck().get()).toBe(0);
    migrate(db, [...MIGRATIONS, { version: next, sql: 'CREATE TABLE extra (a);' }]);
    expect(db.pragma('user_version', { simple: true })).toBe(next);
    db.close();
  });
});

describe('a record', () => {
  test('made by a newer program is refused and left as it is', () => {
    const { dir, path } = filled();
    const db = new Database(path);
    db.pragma('user_version = 99');
    db.close();
    const before = digest(path);
    const said = expect.objectContaining({
      code: 'RECORD_NEWER',
      message: expect.stringMatching(new RegExp(`schema 99; .* knows ${MIGRATIONS.length}`)),
    });
    expect(() => openRecord(dir, options)).toThrow(said);
    expect(() => openRecord(dir, { ...options, readOnly: true })).toThrow(said);
    expect(digest(path)).toBe(before);
  });

  test('with a destroyed page is refused, says what to do, and is left as it is', () => {
    const { dir, path } = filled();
    const bytes = readFileSync(path);
    const page = Math.floor(bytes.length / 4096 / 2);
    bytes.fill(0xa5, page * 4096, (page + 1) * 4096);
    writeFileSync(path, bytes);
    const before = digest(path);
    expect(() => openRecord(dir, options)).toThrow(
      expect.objectContaining({ code: 'RECORD_DAMAGED', fix: expect.stringMatching(/snapshot/) }),
    );
    expect(digest(path)).toBe(before);
  });

  test('that is no database at all is refused and left as it is', () => {
    const dir = freshFolder();
    mkdirSync(dir);
    writeFileSync(join(dir, 'record.db'), 'not a record, just words, many of them: '.repeat(500));
    const before = digest(join(dir, 'record.db'));
    expect(() => openRecord(dir, options)).toThrow(expect.objectContaining({ code: 'RECORD_DAMAGED' }));
    expect(digest(join(dir, 'record.db'))).toBe(before);
  });

  test('whose block rotted says so when it is read, and never gives another number', () => {
    const { dir, path } = filled();
    const db = new Database(path);
    const { id, body } = db.prepare('SELECT id, body FROM blk ORDER BY id LIMIT 1').get() as {
      id: number;
      body: Buffer;
    };
    body[body.length - 5]! ^= 1;
    db.prepare('UPDATE blk SET body = ? WHERE id = ?').run(body, id);
    db.close();
    const record = openTestRecord(dir);
    expect(() => [...record.readings('shed', 0, START_AT * 2)]).toThrow(
      expect.objectContaining({ code: 'RECORD_DAMAGED' }),
    );
    expect(record.latest('shed')!.seq).toBe(3600);
  });

  test('simulated and real never mix', () => {
    const demo = freshFolder();
    openTestRecord(demo, { demo: true }).close();
    expect(() => openRecord(demo, options)).toThrow(
      expect.objectContaining({ code: 'USAGE', message: expect.stringMatching(/simulated record/) }),
    );
    expect(() => openRecord(demo, { ...options, demo: true }).close()).not.toThrow();
    const { dir } = filled();
    expect(() => openRecord(dir, { ...options, demo: true })).toThrow(expect.objectContaining({ code: 'USAGE' }));
  });

  test('opened for reading stands beside the writer, sees each commit, and writes nothing', () => {
    const { dir } = filled();
    const writer = openTestRecord(dir);
    const reader = openTestRecord(dir, { readOnly: true });
    expect(reader.latest('shed')!.seq).toBe(3600);
    writer.commit(batch([reading(3601, { inputPowerW: 4 }, { at: START_AT * 1.5 })]));
    expect(reader.latest('shed')!.seq).toBe(3601);
    expect(reader.savedState()).toEqual({
      lastSavedAt: START_AT * 1.5,
      commitIntervalMs: 10_000,
      trouble: null,
      troubleSinceAt: null,
      logBytes: expect.any(Number),
      notes: [],
    });
    expect(() => reader.commit(batch([]))).toThrow(expect.objectContaining({ code: 'DISK_READ_ONLY' }));
  });

  test('an export that pauses sees every reading once while hours are sealed beside it', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    const minute = (seq: number) => reading(seq, { inputPowerW: seq }, { at: START_AT + seq * 60_000 });
    for (let seq = 1; seq <= 150; seq++) record.commit(batch([minute(seq)]));
    const seen: number[] = [];
    let seq = 150;
    for (const { seq: got } of record.readings('shed', 0, START_AT + 151 * 60_000)) {
      seen.push(got);
      if (seen.length % 10 === 0) for (let i = 0; i < 25; i++) record.commit(batch([minute(++seq)]));
    }
    expect(seen).toEqual(Array.from({ length: 150 }, (_, i) => i + 1));
  });

  test.each([
    ['an empty file', (path: string) => writeFileSync(path, '')],
    ['a file without a table', (path: string) => new Database(path).pragma('journal_mode = WAL')],
  ])(
    'of which a start that was broken off left %s is none to who only reads, and made by the next start',
    (_, leave) => {
      const dir = freshFolder();
      mkdirSync(dir);
      leave(join(dir, 'record.db'));
      const none = expect.objectContaining({ code: 'USAGE' });
      expect(() => openRecord(dir, { ...options, readOnly: true })).toThrow(none);
      expect(() => snapshotRecord(dir, `${dir}.copy`, { atMs: START_AT, program: '' })).toThrow(none);
      const record = openTestRecord(dir);
      record.commit(batch([reading(1, { inputPowerW: 1 })]));
      expect(record.latest('shed')!.seq).toBe(1);
    },
  );

  test('asked for in a folder without one is refused when only reading', () => {
    const dir = freshFolder();
    expect(() => openRecord(dir, { ...options, readOnly: true })).toThrow(expect.objectContaining({ code: 'USAGE' }));
    expect(existsSync(dir)).toBe(false);
  });
});
