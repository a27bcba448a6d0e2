/** Whether stored rollups hold a block's readings: what it would add is in every bucket already, or more. */

import { openBlock } from '../codec/rows.ts';
import { CodecError } from '../codec/varint.ts';
import type { Connection } from '../kept.ts';
import { addRows, type BucketColumn, type Buckets, emptyBuckets, LEVELS, type Level, type Rows } from '../rollup.ts';
import type { LayoutShelf } from '../shelf.ts';
import { openRollups } from '../stored-rollups.ts';

const HOUR_MS = 3_600_000;

interface BlockRow {
  station: number;
  layout: number;
  fromAt: number;
  body: Buffer;
}

/** @param from place in `stored` of the first bucket of `own` */
function holds(stored: BucketColumn | undefined, from: number, own: BucketColumn): boolean {
  return own.count.every(
    (count, slot) =>
      count === 0 ||
      (stored !== undefined &&
        stored.count[from + slot]! >= count &&
        stored.min[from + slot]! <= own.min[slot]! &&
        stored.max[from + slot]! >= own.max[slot]!),
  );
}

/**
 * The answer gives those of some blocks, by their numbers, that are held; not one that cannot be read, or whose rollup
 * cannot. Each rollup is opened once.
 */
export function prepareHeld(db: Connection, shelf: LayoutShelf): (blockIds: readonly number[]) => Set<number> {
  const find = db.prepare<[number], BlockRow>('SELECT station, layout, fromAt, body FROM blk WHERE id = ?');
  const rollups = openRollups(db, shelf);

  const isHeld = (
    row: BlockRow,
    rows: Rows,
    stored: (level: Level, startAt: number) => Buckets | undefined,
  ): boolean => {
    const hourAt = Math.floor(row.fromAt / HOUR_MS) * HOUR_MS;
    return LEVELS.every(level => {
      const startAt = Math.floor(hourAt / level.spanMs) * level.spanMs;
      const own = emptyBuckets(rows.channels.length, HOUR_MS / level.stepMs);
      addRows(own, level.stepMs, hourAt, rows);
      const from = (hourAt - startAt) / level.stepMs;
      const buckets = stored(level, startAt);
      return own.every((column, index) => holds(buckets?.[index], from, column));
    });
  };

  return blockIds => {
    const opened = new Map<string, Buckets | undefined>();
    const held = new Set<number>();
    for (const id of blockIds) {
      const row = find.get(id);
      if (row === undefined) continue;
      const stored = (level: Level, startAt: number) => {
        const key = `${row.station} ${level.stepMs} ${startAt}`;
        if (!opened.has(key)) opened.set(key, rollups.read(row.station, level, startAt));
        return opened.get(key);
      };
      try {
        if (isHeld(row, openBlock(row.body, shelf.byId(row.layout)).rows(), stored)) held.add(id);
      } catch (error) {
        if (!(error instanceof CodecError)) throw error;
      }
    }
    return held;
  };
}
