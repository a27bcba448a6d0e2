import {
  copyFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  truncateSync,
  unlinkSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, onTestFinished, test } from 'vitest';
import { planRestore, restoreSnapshot } from '../../agent/store/keep/restore.ts';
import { snapshotRecord } from '../../agent/store/keep/snapshot-record.ts';
import { startChild } from '../support/child.ts';
import { fillUp } from '../support/fill-up.ts';
import { needsRoot, smallDisk } from '../support/needs-root.ts';
import { batch, dayDelta, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const made = { atMs: Date.UTC(2026, 10, 28, 12), program: '0.1.0' };
const modeOf = (path: string) => statSync(path).mode & 0o777;

/** Readings `from` to `to`, one a minute, with what they add to a day. */
const minutes = (from: number, to: number) =>
  batch(
    Array.from({ length: to - from + 1 }, (_, i) =>
      reading(from + i, { inputPowerW: ((from + i) * 37) % 400 }, { at: START_AT + (from + i) * 60_000 }),
    ),
    { days: [dayDelta({ solarMilliJ: to - from + 1, coveredMs: 60_000 })] },
  );

/** A folder whose record was closed after `count` minutes. */
function recorded(count: number): string {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  record.commit(minutes(1, count));
  record.close();
  return dir;
}

const readingsOf = (dir: string) => {
  const record = openTestRecord(dir);
  const all = [...record.readings('shed', 0, START_AT * 2)];
  record.close();
  return all;
};

/** Without what SQLite makes for reading. */
const filesOf = (dir: string) =>
  readdirSync(dir)
    .filter(name => !/-(wal|shm)$/.test(name))
    .sort();

const elsewhere = (dir: string, name = 'copy.db') => join(dirname(dir), name);

describe('a snapshot', () => {
  test('holds all that was saved beside an agent that writes, with its manifest, for the owner alone', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    record.commit(minutes(1, 130));
    const file = elsewhere(dir);
    const manifest = snapshotRecord(dir, file, made);
    record.commit(minutes(131, 140));
    expect(manifest).toMatchObject({
      madeAt: '2026-11-28T12:00:00.000Z',
      program: '0.1.0',
      bytes: statSync(file).size,
      stations: [
        {
          name: 'shed',
          readings: 130,
          firstAt: START_AT + 60_000,
          lastAt: START_AT + 130 * 60_000,
          sessions: 1,
          days: 1,
          solarMilliJ: 130,
        },
      ],
    });
    expect(JSON.parse(readFileSync(`${file}.json`, 'utf8'))).toEqual(manifest);
    expect([modeOf(file), modeOf(`${file}.json`)]).toEqual([0o600, 0o600]);
    expect(readdirSync(dirname(dir)).sort()).toEqual(['copy.db', 'copy.db.json', 'data']);
    expect(record.latest('shed')!.seq).toBe(140);
  });

  test('never takes the place of a file that is there', () => {
    const dir = recorded(5);
    const file = elsewhere(dir);
    writeFileSync(file, 'mine');
    expect(() => snapshotRecord(dir, file, made)).toThrow(expect.objectContaining({ code: 'USAGE' }));
    expect(readFileSync(file, 'utf8')).toBe('mine');
    writeFileSync(`${file}2.json`, 'mine too');
    expect(() => snapshotRecord(dir, `${file}2`, made)).toThrow(expect.objectContaining({ code: 'USAGE' }));
    expect(existsSync(`${file}2`)).toBe(false);
  });

  test.each([
    ['half a copy', (file: string) => writeFileSync(`${file}.partial`, Buffer.alloc(8192))],
    ['a whole copy without its manifest', (file: string) => renameSync(file, `${file}.partial`)],
    [
      'a copy that had its name before its manifest',
      (file: string) => renameSync(`${file}.json`, `${file}.partial.json`),
    ],
  ])('takes the place of what a broken off try left: %s', (_, breakOff) => {
    const dir = recorded(5);
    const file = elsewhere(dir);
    snapshotRecord(dir, file, made);
    breakOff(file);
    rmSync(existsSync(`${file}.json`) ? `${file}.json` : `${file}.none`, { force: true });
    if (existsSync(`${file}.partial`)) rmSync(file, { force: true });
    const manifest = snapshotRecord(dir, file, made);
    expect(JSON.parse(readFileSync(`${file}.json`, 'utf8'))).toEqual(manifest);
    expect(readdirSync(dirname(dir)).sort()).toEqual(['copy.db', 'copy.db.json', 'data']);
    expect(() => snapshotRecord(dir, file, made)).toThrow(expect.objectContaining({ code: 'USAGE' }));
  });

  test('leaves a file alone that only has the name of a broken off try', () => {
    const dir = recorded(5);
    const file = elsewhere(dir);
    writeFileSync(`${file}.partial`, 'mine');
    expect(() => snapshotRecord(dir, file, made)).toThrow(expect.objectContaining({ code: 'USAGE' }));
    expect(readFileSync(`${file}.partial`, 'utf8')).toBe('mine');
  });

  test('is a file whatever SQLite takes its name for', () => {
    const dir = recorded(5);
    const before = process.cwd();
    process.chdir(dirname(dir));
    onTestFinished(() => process.chdir(before));
    snapshotRecord(dir, ':memory:', made);
    expect(readdirSync('.').sort()).toEqual([':memory:', ':memory:.json', 'data']);
    restoreSnapshot(dir, ':memory:', made);
    expect(readingsOf(dir)).toHaveLength(5);
  });

  needsRoot('that does not fit leaves nothing behind and says that the disk is full', () => {
    const dir = recorded(3000);
    const disk = smallDisk('16k');
    const file = join(disk.dir, 'copy.db');
    expect(() => snapshotRecord(dir, file, made)).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
    expect(readdirSync(disk.dir)).toEqual([]);
  });
});

describe('restoring', () => {
  /** A record of 130 minutes, a snapshot of it, and ten minutes more. */
  function later(): { dir: string; file: string } {
    const dir = recorded(130);
    const file = elsewhere(dir);
    snapshotRecord(dir, file, made);
    const record = openTestRecord(dir);
    record.commit(minutes(131, 140));
    record.close();
    return { dir, file };
  }

  test('tells what it would replace and changes nothing', () => {
    const { dir, file } = later();
    const before = readFileSync(join(dir, 'record.db'));
    const plan = planRestore(dir, file);
    expect(plan.manifest.stations[0]!.readings).toBe(130);
    expect(plan.present!.stations[0]!.readings).toBe(140);
    expect(readFileSync(join(dir, 'record.db')).equals(before)).toBe(true);
    expect(filesOf(dir)).toEqual(['closed.txt', 'lock.db', 'lock.txt', 'record.db']);
  });

  test('brings back every reading and total, and keeps what was there as a snapshot that can be restored', () => {
    const { dir, file } = later();
    const kept = restoreSnapshot(dir, file, made)!;
    expect(kept).toBe(join(dir, 'replaced-2026-11-28T12-00-00-000Z.db'));
    expect(readingsOf(dir)).toHaveLength(130);
    expect(modeOf(join(dir, 'record.db'))).toBe(0o600);
    restoreSnapshot(dir, kept, { ...made, atMs: made.atMs + 1 });
    expect(readingsOf(dir)).toHaveLength(140);
    const record = openTestRecord(dir);
    expect(record.days('shed', '', '9')[0]!.solarMilliJ).toBe(140);
    expect(record.check()).toEqual([]);
  });

  test('into a folder without a record makes one', () => {
    const { file } = later();
    const fresh = freshFolder();
    expect(planRestore(fresh, file).present).toBeNull();
    expect(restoreSnapshot(fresh, file, made)).toBeNull();
    expect(readingsOf(fresh)).toHaveLength(130);
  });

  test('that is killed leaves the record before it or the one after it, whole', async () => {
    const { dir, file } = later();
    for (let round = 0; round < 8; round++) {
      const child = startChild('test/store/children/restorer.ts', [dir, file]);
      await child.line();
      await new Promise(resolve => setTimeout(resolve, round * 6));
      await child.kill();
      expect([130, 140]).toContain(readingsOf(dir).length);
    }
    restoreSnapshot(dir, file, made);
    expect(readingsOf(dir)).toHaveLength(130);
  });

  test('is refused while an agent runs', () => {
    const { dir, file } = later();
    const record = openTestRecord(dir);
    expect(() => restoreSnapshot(dir, file, made)).toThrow(expect.objectContaining({ code: 'DATA_BUSY' }));
    expect(record.latest('shed')!.seq).toBe(140);
  });

  test('takes the place of a record that is damaged, and keeps that with its log', () => {
    const { dir, file } = later();
    const bytes = readFileSync(join(dir, 'record.db'));
    bytes.fill(0xa5, 0, 4096);
    writeFileSync(join(dir, 'record.db'), bytes);
    writeFileSync(join(dir, 'record.db-wal'), 'what was left of its log');
    expect(planRestore(dir, file).trouble).toMatch(/record\.db/);
    const kept = restoreSnapshot(dir, file, made)!;
    expect(readFileSync(kept).equals(bytes)).toBe(true);
    expect(readFileSync(`${kept}-wal`, 'utf8')).toBe('what was left of its log');
    expect(readingsOf(dir)).toHaveLength(130);
  });

  test('over a damaged record whose log still holds commits never lets that log meet the snapshot', () => {
    const { dir, file } = later();
    const record = openTestRecord(dir);
    record.commit(minutes(141, 300));
    // As a power cut leaves it.
    const cut = freshFolder();
    cpSync(dir, cut, { recursive: true });
    record.close();
    const bytes = readFileSync(join(cut, 'record.db'));
    // Its first page lies in the log as well.
    bytes.fill(0xa5, 4096);
    writeFileSync(join(cut, 'record.db'), bytes);
    const log = readFileSync(join(cut, 'record.db-wal'));
    expect(log.length).toBeGreaterThan(4096);
    const kept = restoreSnapshot(cut, file, made)!;
    expect(readFileSync(`${kept}-wal`).equals(log)).toBe(true);
    const restored = openTestRecord(cut);
    expect(restored.check()).toEqual([]);
    restored.close();
    expect(readingsOf(cut)).toHaveLength(130);
  });

  test('refuses a plain copy of the file alone, though SQLite finds nothing wrong with it', async () => {
    const dir = freshFolder();
    const child = startChild('test/store/children/writer.ts', [dir, '1']);
    for (let line = 0; line < 30; line++) await child.line();
    const copy = elsewhere(dir);
    copyFileSync(join(dir, 'record.db'), copy);
    const refused = (code: string, message: RegExp) =>
      expect(() => restoreSnapshot(freshFolder(), copy, made)).toThrow(
        expect.objectContaining({ code, message: expect.stringMatching(message) }),
      );
    refused('SNAPSHOT_UNPROVEN', /no manifest.*plain copy/s);
    // Beside the manifest of a real snapshot it is found out too.
    snapshotRecord(dir, elsewhere(dir, 'real.db'), made);
    await child.kill();
    copyFileSync(elsewhere(dir, 'real.db.json'), `${copy}.json`);
    refused('RECORD_DAMAGED', /not the file its manifest was made for/);
    const db = new Database(copy);
    expect(db.pragma('integrity_check', { simple: true })).toBe('ok');
    db.close();
  });

  test.each([
    ['one bit flipped', (file: string) => flip(file, 5000), 'RECORD_DAMAGED'],
    ['cut short', (file: string) => truncateSync(file, 4096 * 3), 'RECORD_DAMAGED'],
    ['without its manifest', (file: string) => unlinkSync(`${file}.json`), 'SNAPSHOT_UNPROVEN'],
    ['with a manifest that is no JSON', (file: string) => writeFileSync(`${file}.json`, '{'), 'SNAPSHOT_UNPROVEN'],
    ['with half a manifest', (file: string) => writeFileSync(`${file}.json`, '{"format":1}'), 'SNAPSHOT_UNPROVEN'],
    [
      'told to hold more than it does',
      (file: string) => edit(file, s => s.replace('"readings": 130', '"readings": 131')),
      'SNAPSHOT_UNPROVEN',
    ],
    [
      'told another total',
      (file: string) => edit(file, s => s.replace(/"gapMs": \d+/, '"gapMs": 7')),
      'SNAPSHOT_UNPROVEN',
    ],
    [
      'told other last sequences',
      (file: string) => edit(file, s => s.replace(/"sessionsDigest": "./, '"sessionsDigest": "z')),
      'SNAPSHOT_UNPROVEN',
    ],
    [
      'of a newer schema',
      (file: string) => edit(file, s => s.replace(/"schema": \d+/, '"schema": 99')),
      'RECORD_NEWER',
    ],
    ['of a newer manifest', (file: string) => edit(file, s => s.replace('"format": 1', '"format": 2')), 'RECORD_NEWER'],
    ['that is not there', (file: string) => unlinkSync(file), 'USAGE'],
  ])('refuses a snapshot %s and leaves the record alone', (_, spoil, code) => {
    const { dir, file } = later();
    const before = readFileSync(join(dir, 'record.db'));
    spoil(file);
    expect(() => planRestore(dir, file)).toThrow(expect.objectContaining({ code }));
    expect(() => restoreSnapshot(dir, file, made)).toThrow(expect.objectContaining({ code }));
    expect(readFileSync(join(dir, 'record.db')).equals(before)).toBe(true);
    expect(filesOf(dir)).toEqual(['closed.txt', 'lock.db', 'lock.txt', 'record.db']);
  });

  test('refuses a simulated record, whatever its manifest says of it', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir, { demo: true });
    record.commit(minutes(1, 3));
    const file = elsewhere(dir);
    snapshotRecord(dir, file, made);
    expect(() => planRestore(freshFolder(), file)).toThrow(/simulated/);
    edit(file, s => s.replace('"simulated": true', '"simulated": false'));
    expect(() => restoreSnapshot(freshFolder(), file, made)).toThrow(/simulated/);
  });

  needsRoot('into a full disk leaves the record that is there', () => {
    const { file } = later();
    const disk = smallDisk('1m');
    const dir = join(disk.dir, 'data');
    mkdirSync(dir);
    const record = openTestRecord(dir);
    record.commit(minutes(1, 3));
    record.close();
    fillUp(join(disk.dir, 'filler'), 12_000);
    expect(() => restoreSnapshot(dir, file, made)).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
    expect(filesOf(dir)).toEqual(['closed.txt', 'lock.db', 'lock.txt', 'record.db']);
    disk.grow('2m');
    expect(readingsOf(dir)).toHaveLength(3);
  });
});

function flip(file: string, at: number): void {
  const bytes = readFileSync(file);
  bytes[at]! ^= 4;
  writeFileSync(file, bytes);
}

function edit(file: string, change: (text: string) => string): void {
  const text = readFileSync(`${file}.json`, 'utf8');
  expect(change(text)).not.toBe(text);
  writeFileSync(`${file}.json`, change(text));
}
