import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import type { BridgedBlock, CountedDelta } from '#messages';
import { freshFolder, openTestRecord } from '../support/record.ts';
import { DAY_MS, dateOf, dayBatch, FIRST_DAY, flipIn, sealsIn, tended } from '../support/sealed-days.ts';

const at = (day: number) => FIRST_DAY + day * DAY_MS;
/** No other numbers of the file look like them. */
const countedOf = (day: number): number => 0x4b25_6d71_0000 + day * 0x101;
const bridgedOf = (day: number): number => 0x6c36_7e52_0000 + day * 0x101;

const countedDelta = (day: number): CountedDelta => ({
  station: 'shed',
  date: dateOf(day),
  zone: 'UTC',
  startMs: at(day),
  endMs: at(day + 1),
  quantity: 'solarEnergyWh',
  countedMilliJ: countedOf(day),
  comparedMilliJ: 0,
  integratedMilliJ: 0,
  flowMs: 0,
  stretches: 1,
  largestMilliJ: 0,
  spreadWh2: 0.5,
  lastMilliWh: 1000,
  lastAt: at(day + 1) - 1,
  unchangedMs: 0,
  stepMilliWh: 1000,
});

/** Over the midnight at the end of a day. */
const bridge = (day: number): BridgedBlock => ({
  station: 'shed',
  quantity: 'outputEnergyWh',
  fromAt: at(day + 1) - 1000,
  toAt: at(day + 1) + 1000,
  milliJ: bridgedOf(day),
  cause: 'counted',
  gapMs: 2000,
  fromMilliWh: 0,
  toMilliWh: 1000,
  stepMilliWh: 1000,
});

/** Four days with counters on record, three of them over for a day and sealed. */
function sealedFolder(): string {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  for (let day = 0; day < 5; day++)
    record.commit({ ...dayBatch(day), counted: [countedDelta(day)], bridges: [bridge(day)] });
  record.close();
  tended(dir, at(4.5)).close();
  return dir;
}

const sixBytes = (value: number): Buffer => {
  const bytes = Buffer.alloc(6);
  bytes.writeUIntBE(value, 0, 6);
  return bytes;
};

function inRecord<T>(dir: string, act: (db: Database.Database) => T): T {
  const db = new Database(join(dir, 'record.db'));
  try {
    return act(db);
  } finally {
    db.close();
  }
}

/** Dates of the days whose seals do not match; SQLite's own check finds nothing in any case. */
function brokenIn(dir: string): string[] {
  const record = openTestRecord(dir);
  expect(record.check()).toEqual([]);
  const broken = record.checkSeals();
  record.close();
  return broken.map(({ date }) => date);
}

/** As seals were before they covered what counters counted, of days on which none did. */
const makeBare = (dir: string) => inRecord(dir, db => db.exec('UPDATE seal SET digest = substr(digest, 2)'));
const sealBytes = (dir: string) =>
  inRecord(dir, db => db.prepare('SELECT DISTINCT length(digest) FROM seal').pluck().all());

describe('the seal of a closed day', () => {
  test('covers what counters counted, and the blocks over gaps that begin in it', () => {
    const dir = sealedFolder();
    expect(sealsIn(dir)).toHaveLength(3);
    expect(brokenIn(dir)).toEqual([]);
    for (const bytes of [sixBytes(countedOf(1)), sixBytes(bridgedOf(1))]) {
      flipIn(dir, bytes, 5);
      expect(brokenIn(dir)).toEqual([dateOf(1)]);
      bytes[5]! ^= 1;
      flipIn(dir, bytes, 5);
    }
    expect(brokenIn(dir)).toEqual([]);
  });

  test.each([
    ['counted', "UPDATE counted SET countedMilliJ = countedMilliJ + 1 WHERE date = '2026-07-11'"],
    ['counted', "DELETE FROM counted WHERE date = '2026-07-11'"],
    ['bridge', `DELETE FROM bridge WHERE fromAt = ${at(2) - 1000}`],
    ['bridge', `UPDATE bridge SET milliJ = NULL WHERE fromAt = ${at(2) - 1000}`],
    ['bridge', `INSERT INTO bridge SELECT station, 'x', ${at(1)}, toAt, 1, cause, 1, 1, 1, 1 FROM bridge LIMIT 1`],
  ])('goes with a statement that changes them (%s, %s)', (_table, sql) => {
    const dir = sealedFolder();
    inRecord(dir, db => db.exec(sql));
    expect(sealsIn(dir).map(seal => seal.date)).toEqual([dateOf(0), dateOf(2)]);
    tended(dir, at(4.5)).close();
    expect(sealsIn(dir)).toHaveLength(3);
    expect(brokenIn(dir)).toEqual([]);
  });

  test('that was made before it covered them is believed for what it covers, and covers them once it was checked', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    for (let day = 0; day < 3; day++) record.commit(dayBatch(day));
    record.close();
    tended(dir, at(2.5)).close();
    makeBare(dir);
    inRecord(dir, db => {
      db.exec('DROP TRIGGER countedUnsealsINSERT');
      const { station: _, ...row } = countedDelta(0);
      const names = Object.keys(row);
      db.prepare(`INSERT INTO counted (station, ${names}) VALUES (1, ${names.map(name => `@${name}`)})`).run(row);
    });
    expect(sealBytes(dir)).toEqual([32]);
    expect(brokenIn(dir)).toEqual([]);
    tended(dir, at(40)).close();
    expect(sealBytes(dir)).toEqual([33]);
    expect(brokenIn(dir)).toEqual([]);
    flipIn(dir, sixBytes(countedOf(0)), 5);
    expect(brokenIn(dir)).toEqual([dateOf(0)]);
  });

  test('that was made before them and does not match is broken, and stays as it is', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    for (let day = 0; day < 3; day++) record.commit(dayBatch(day));
    record.close();
    tended(dir, at(2.5)).close();
    makeBare(dir);
    inRecord(dir, db => db.exec('UPDATE seal SET digest = zeroblob(32)'));
    tended(dir, at(40)).close();
    expect(brokenIn(dir)).toEqual([dateOf(0)]);
    expect(sealBytes(dir)).toContain(32);
    expect(sealsIn(dir)[0]!.brokenAt).toBe(at(40));
  });
});
