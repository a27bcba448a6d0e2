/** Damaged records: a year's worth of shapes in a small file, and what destroys a page of it. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { openRecord } from '../../agent/store/open.ts';
import { seededRandom } from './kill-rounds.ts';
import { batch, dayDelta, reading } from './record.ts';
import { DAY_MS, dateOf, FIRST_DAY } from './sealed-days.ts';

export const PAGE = 4096;
/** Readings of an hour, noisy, so that each hour's block is a few pages long as a real one is. */
const ROWS_AN_HOUR = 400;

/** A closed record of so many days, ROWS_AN_HOUR readings an hour for twelve hours a day; gives how many. */
export function makeNoisy(dir: string, days: number): number {
  const record = openRecord(dir, { nowMs: () => FIRST_DAY, commitIntervalMs: 0 });
  const random = seededRandom(3);
  let seq = 0;
  for (let day = 0; day < days; day++) {
    const startMs = FIRST_DAY + day * DAY_MS;
    for (let hour = 0; hour < 12; hour++) {
      const readings = Array.from({ length: ROWS_AN_HOUR }, (_, i) =>
        reading(
          ++seq,
          {
            inputPowerW: Math.round(random() * 4000) / 10,
            outputPowerW: Math.round(random() * 4000) / 10,
            batteryVoltageV: Math.round(random() * 1000) / 100,
          },
          { at: startMs + hour * 3_600_000 + i * 9000 },
        ),
      );
      const delta = dayDelta({ date: dateOf(day), zone: 'UTC', startMs, endMs: startMs + DAY_MS, solarMilliJ: 1 });
      record.commit(batch(readings, { days: [delta] }));
    }
  }
  record.close();
  return seq;
}

/** Overwrites whole pages, numbered from 1. */
export function destroy(dir: string, pages: readonly number[]): Buffer {
  const path = join(dir, 'record.db');
  const bytes = readFileSync(path);
  for (const page of pages) bytes.fill(0xa5, (page - 1) * PAGE, page * PAGE);
  writeFileSync(path, bytes);
  return bytes;
}

/** Newest row of each kind of block; of rollups the minutes. */
const NEWEST = {
  blk: 'blk ORDER BY fromAt DESC',
  rb: 'rb WHERE stepMs = 60000 ORDER BY startAt DESC',
  tail: 'tail ORDER BY fromAt DESC',
};

/** Flips a bit of the newest block of a kind, in a file that SQLite finds whole. */
export function flipBit(dir: string, kind: keyof typeof NEWEST): void {
  const db = new Database(join(dir, 'record.db'));
  const { id, body } = db.prepare<[], { id: number; body: Buffer }>(`SELECT id, body FROM ${NEWEST[kind]}`).get()!;
  body[body.length >> 1]! ^= 0x10;
  db.prepare(`UPDATE ${kind} SET body = ? WHERE id = ?`).run(body, id);
  db.close();
}

export const pagesIn = (dir: string): number => readFileSync(join(dir, 'record.db')).length / PAGE;

/** Root page of a table or index. */
export function rootOf(dir: string, name: string): number {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const page = db.prepare<[string], number>('SELECT rootpage FROM sqlite_schema WHERE name = ?').pluck().get(name)!;
  db.close();
  return page;
}
