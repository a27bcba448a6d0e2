/** A record whose first two days were recorded every ten seconds, and of which they were let go. */
import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Reading } from '#kit';
import { batch, dayDelta, freshFolder, openTestRecord, reading } from './record.ts';
import { DAY_MS, dateOf, FIRST_DAY } from './sealed-days.ts';

export const HOUR_MS = 3_600_000;
const STEP_MS = 10_000;
/** Hours of a day that were recorded. */
export const HOURS = [8, 9, 10, 13];
/** When the record was tended, a fortnight later. */
export const LATER = FIRST_DAY + 16 * DAY_MS;

/** Readings of one hour of a day: a shaken power, a count that goes up, a value missing now and then. */
export function hourOfReadings(day: number, hour: number): Reading[] {
  const from = FIRST_DAY + day * DAY_MS + hour * HOUR_MS;
  return Array.from({ length: HOUR_MS / STEP_MS }, (_, i) => {
    const seq = day * 10_000 + hour * 400 + i + 1;
    return reading(
      seq,
      {
        inputPowerW: ((seq * 7919) % 4000) / 10,
        outputPowerW: seq % 30 < 6 ? null : 40,
        inputEnergyWh: seq,
      },
      { at: from + i * STEP_MS, quality: seq % 97 === 0 ? 'bad' : 'good' },
    );
  });
}

export const ALL: readonly Reading[] = [0, 1, 14].flatMap(day => HOURS.flatMap(hour => hourOfReadings(day, hour)));

/** The folder of such a record, closed; nothing was let go of it yet. */
export function wholeFolder(): string {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  for (const day of [0, 1, 14]) {
    const readings = HOURS.flatMap(hour => hourOfReadings(day, hour));
    const startMs = FIRST_DAY + day * DAY_MS;
    const total = dayDelta({
      date: dateOf(day),
      zone: 'UTC',
      startMs,
      endMs: startMs + DAY_MS,
      solarMilliJ: 1000 + day,
      coveredMs: 4 * HOUR_MS - 2 * STEP_MS,
      gapMs: 2 * HOUR_MS + 2 * STEP_MS,
    });
    record.commit(batch(readings, { days: [total] }));
  }
  record.close();
  return dir;
}

/** Lets all go whose time is over, and seals again. */
export function letGo(dir: string, keepRawDays = 7): void {
  const record = openTestRecord(dir, { nowMs: () => LATER, keepRawDays: () => keepRawDays });
  for (let piece = 0; piece < 30; piece++) record.upkeep();
  record.close();
}

export function letGoFolder(): string {
  const dir = wholeFolder();
  letGo(dir);
  return dir;
}

/** Raw readings in its blocks before an instant. */
export function rawBefore(dir: string, atMs: number): number {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const count = db.prepare<[number], number>('SELECT total(count) FROM blk WHERE fromAt < ?').pluck().get(atMs)!;
  db.close();
  return count;
}
