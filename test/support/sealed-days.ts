/** A record of many closed days, a reading every quarter of an hour, with totals that can be found in the file. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { batch, dayDelta, freshFolder, openTestRecord, reading } from './record.ts';

export const DAY_MS = 86_400_000;
export const FIRST_DAY = Date.UTC(2026, 6, 10);
const STEP_MS = 15 * 60_000;

export const dateOf = (day: number): string => new Date(FIRST_DAY + day * DAY_MS).toISOString().slice(0, 10);
/** No other number of the file looks like it. */
export const solarOf = (day: number): number => 0x5a17_3c91_0000 + day * 0x101;

/** That number as it lies in the file. */
export function totalOf(day: number): Buffer {
  const bytes = Buffer.alloc(6);
  bytes.writeUIntBE(solarOf(day), 0, 6);
  return bytes;
}

/** One day's readings and totals; totals lie in the day only once. */
export function dayBatch(day: number) {
  const startMs = FIRST_DAY + day * DAY_MS;
  const readings = Array.from({ length: 96 }, (_, i) => {
    const seq = day * 96 + i + 1;
    return reading(
      seq,
      { inputPowerW: ((seq * 7919) % 4000) / 10, stateOfChargePct: seq % 101 },
      { at: startMs + i * STEP_MS },
    );
  });
  const days = [
    dayDelta({ date: dateOf(day), zone: 'UTC', startMs, endMs: startMs + DAY_MS, solarMilliJ: solarOf(day) }),
  ];
  return batch(readings, { days });
}

/** @returns a folder whose record holds so many days and is closed */
export function folderOfDays(days: number): string {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  for (let day = 0; day < days; day++) record.commit(dayBatch(day));
  record.close();
  return dir;
}

/** Opens it at a moment and lets it seal all it may. */
export function tended(dir: string, nowMs: number): OpenedRecord {
  const record = openTestRecord(dir, { nowMs: () => nowMs });
  for (let piece = 0; piece < 60; piece++) record.upkeep();
  return record;
}

export function sealsIn(dir: string): { date: string; checkedAt: number; brokenAt: number | null }[] {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const rows = db.prepare('SELECT date, checkedAt, brokenAt FROM seal ORDER BY date').all();
  db.close();
  return rows as ReturnType<typeof sealsIn>;
}

/** Flips one bit at a distance into `bytes`, wherever they lie: pages that are no longer used may hold them too. */
export function flipIn(dir: string, bytes: Buffer, offset: number, bit = 0): void {
  const path = join(dir, 'record.db');
  const file = readFileSync(path);
  const places: number[] = [];
  for (let at = file.indexOf(bytes); at >= 0; at = file.indexOf(bytes, at + 1)) places.push(at);
  if (places.length === 0) throw new Error('those bytes are not in the file');
  for (const at of places) file[at + offset]! ^= 1 << bit;
  writeFileSync(path, file);
}

/** A stored body of a table, by a day. */
export function bodyOf(dir: string, table: 'blk' | 'rb', day: number): Buffer {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const start = FIRST_DAY + day * DAY_MS;
  const sql =
    table === 'blk'
      ? 'SELECT body FROM blk WHERE fromAt >= ? AND fromAt < ? ORDER BY fromAt LIMIT 1 OFFSET 5'
      : 'SELECT body FROM rb WHERE stepMs = 60000 AND startAt >= ? AND startAt < ?';
  const body = db
    .prepare<[number, number], Buffer>(sql)
    .pluck()
    .get(start, start + DAY_MS)!;
  db.close();
  return body;
}
