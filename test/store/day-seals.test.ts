import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { seededRandom } from '../support/kill-rounds.ts';
import { batch, dayDelta, openTestRecord } from '../support/record.ts';
import {
  bodyOf,
  DAY_MS,
  dateOf,
  dayBatch,
  FIRST_DAY,
  flipIn,
  folderOfDays,
  sealsIn,
  solarOf,
  tended,
  totalOf,
} from '../support/sealed-days.ts';

const at = (day: number) => FIRST_DAY + day * DAY_MS;

/** Twelve days on record, ten of them over for a day and more, and sealed. */
function sealedFolder(): string {
  const dir = folderOfDays(12);
  tended(dir, at(11.5)).close();
  return dir;
}

describe('a closed day', () => {
  test('is sealed once it has been over for a day', () => {
    const dir = sealedFolder();
    expect(sealsIn(dir).map(seal => seal.date)).toEqual(Array.from({ length: 10 }, (_, day) => dateOf(day)));
    const record = openTestRecord(dir);
    expect(record.checkSeals()).toEqual([]);
    expect(record.savedState().notes ?? []).toEqual([]);
  });

  test('in which a bit has flipped is named, though SQLite finds nothing wrong', () => {
    const seed = Date.now() % 2 ** 31;
    console.log(`flipped bits: seed ${seed}`);
    const random = seededRandom(seed);
    const dir = sealedFolder();
    for (let round = 0; round < 24; round++) {
      const day = Math.floor(random() * 10);
      const body = round % 3 === 0 ? totalOf(day) : bodyOf(dir, round % 3 === 1 ? 'blk' : 'rb', day);
      // An integer's last byte: the pages around it stay what they are.
      const offset = round % 3 === 0 ? 5 : Math.floor(random() * body.length);
      const bit = Math.floor(random() * 8);
      const piece = body.subarray(0, Math.min(body.length, 60));
      const within = Math.min(offset, piece.length - 1);
      flipIn(dir, piece, within, bit);
      const record = openTestRecord(dir);
      expect(record.check()).toEqual([]);
      expect(record.checkSeals()).toEqual([{ station: 'shed', date: dateOf(day) }]);
      record.close();
      const flipped = Buffer.from(piece);
      flipped[within]! ^= 1 << bit;
      flipIn(dir, flipped, within, bit);
    }
    expect(openTestRecord(dir).checkSeals()).toEqual([]);
  });

  test('that is broken is told once at the start of a run, and stays told as a note', () => {
    const dir = sealedFolder();
    flipIn(dir, totalOf(4), 5);
    const record = openTestRecord(dir, { nowMs: () => at(12) });
    const day = { station: 'shed', date: dateOf(4) };
    expect([record.upkeep(), record.upkeep(), record.upkeep()]).toEqual([[day], [], []]);
    expect(record.savedState().notes).toContainEqual({ kind: 'brokenDay', ...day });
    record.close();
    const again = openTestRecord(dir, { nowMs: () => at(12) });
    expect(again.upkeep()).toEqual([]);
    expect(again.savedState().notes).toContainEqual({ kind: 'brokenDay', ...day });
  });

  test('is checked again within a month, a few days at a time', () => {
    const dir = sealedFolder();
    const record = openTestRecord(dir, { nowMs: () => at(45) });
    const checked = () => sealsIn(dir).filter(seal => seal.checkedAt === at(45)).length;
    record.upkeep();
    expect(checked()).toBe(8);
    // What was over meanwhile is sealed first.
    record.upkeep();
    expect(sealsIn(dir)).toHaveLength(12);
    record.upkeep();
    expect(checked()).toBe(12);
  });

  test('that is corrected later is sealed anew', () => {
    const dir = sealedFolder();
    const before = new Map(sealsIn(dir).map(seal => [seal.date, seal.checkedAt]));
    const record = openTestRecord(dir, { nowMs: () => at(12) });
    const { readings } = dayBatch(12);
    const startMs = at(3);
    const correction = dayDelta({ date: dateOf(3), zone: 'UTC', startMs, endMs: startMs + DAY_MS, solarMilliJ: 7 });
    record.commit(batch(readings, { days: [correction] }));
    expect(sealsIn(dir).map(seal => seal.date)).not.toContain(dateOf(3));
    for (let piece = 0; piece < 5; piece++) record.upkeep();
    expect(sealsIn(dir).map(seal => seal.date)).toContain(dateOf(3));
    expect(before.has(dateOf(3))).toBe(true);
    expect(record.checkSeals()).toEqual([]);
    expect(record.days('shed', dateOf(3), dateOf(3))[0]!.solarMilliJ).toBe(solarOf(3) + 7);
  });

  test('keeps matching when the hour that was left open at its end is closed', () => {
    const dir = folderOfDays(2);
    const record = openTestRecord(dir, { nowMs: () => at(3.5) });
    for (let piece = 0; piece < 5; piece++) record.upkeep();
    expect(sealsIn(dir).map(seal => seal.date)).toEqual([dateOf(0), dateOf(1)]);
    record.commit(dayBatch(4));
    expect(sealsIn(dir).map(seal => seal.date)).toEqual([dateOf(0)]);
    record.close();
    tended(dir, at(4)).close();
    expect(sealsIn(dir).map(seal => seal.date)).toEqual([dateOf(0), dateOf(1)]);
    expect(openTestRecord(dir).checkSeals()).toEqual([]);
  });

  test('whose block rotted before it was sealed is named as it is sealed', () => {
    const dir = folderOfDays(3);
    flipIn(dir, bodyOf(dir, 'blk', 0).subarray(0, 60), 30);
    const record = openTestRecord(dir, { nowMs: () => at(3) });
    record.upkeep();
    expect(record.upkeep()).toEqual([{ station: 'shed', date: dateOf(0) }]);
  });
});

test('a simulated record is not sealed', () => {
  const dir = folderOfDays(1);
  const db = new Database(join(dir, 'record.db'));
  db.exec("UPDATE meta SET value = 'demo' WHERE key = 'kind'");
  db.close();
  const record = openTestRecord(dir, { demo: true, nowMs: () => at(9) });
  for (let piece = 0; piece < 4; piece++) record.upkeep();
  expect(sealsIn(dir)).toEqual([]);
});
