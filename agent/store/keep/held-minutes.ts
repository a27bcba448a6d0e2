/** Whether stored rollups hold a block's readings: what it would add is in every bucket already, or more. */

import { openBlock } from '../codec/rows.ts';
import { CodecError } from '../codec/varint.ts';
import type { Connection } from '../kept.ts';
import { addRows, type BucketColumn, emptyBuckets, LEVELS, type Level, type Rows, slotsOf } from '../rollup.ts';
import type { LayoutShelf } from '../shelf.ts';
import { openRollups } from '../stored-rollups.ts';

type Bodied = { station: number; layout: number; fromAt: number; body: Buffer };

function holds(stored: BucketColumn | undefined, own: BucketColumn): boolean {
  return own.count.every(
    (count, slot) =>
      count === 0 ||
      (stored !== undefined &&
        stored.count[slot]! >= count &&
        stored.min[slot]! <= own.min[slot]! &&
        stored.max[slot]! >= own.max[slot]!),
  );
}

/** The answer is false too where the block or a rollup cannot be read. */
export function prepareHeld(db: Connection, shelf: LayoutShelf): (blockId: number) => boolean {
  const find = db.prepare<[number], Bodied>('SELECT station, layout, fromAt, body FROM blk WHERE id = ?');
  const rollups = openRollups(db, shelf);
  const heldBy = (level: Level, station: number, fromAt: number, rows: Rows): boolean => {
    const startAt = Math.floor(fromAt / level.spanMs) * level.spanMs;
    const stored = rollups.read(station, level, startAt);
    const own = emptyBuckets(rows.channels.length, slotsOf(level));
    addRows(own, level.stepMs, startAt, rows);
    return own.every((column, index) => holds(stored?.[index], column));
  };
  return blockId => {
    const block = find.get(blockId);
    if (block === undefined) return false;
    try {
      const rows = openBlock(block.body, shelf.byId(block.layout)).rows();
      return LEVELS.every(level => heldBy(level, block.station, block.fromAt, rows));
    } catch (error) {
      if (error instanceof CodecError) return false;
      throw error;
    }
  };
}
