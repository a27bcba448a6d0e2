/**
 * Rollups that are missing, made from what they are a function of: minutes from the blocks that are left, quarter-hours
 * from the minutes. A rollup that is there stands: where readings were let go nothing else knows of them.
 */
import { openBlock } from '../codec/rows.ts';
import type { Connection } from '../kept.ts';
import {
  addFiner,
  addRows,
  type Buckets,
  emptyBuckets,
  keepFuller,
  LEVELS,
  type Level,
  MINUTES,
  slotsOf,
} from '../rollup.ts';
import { openShelf } from '../shelf.ts';
import { openRollups } from '../stored-rollups.ts';

const QUARTERS = LEVELS[1]!;

/** Which rollups of a record stand as they are. */
export type Stands = (station: number, level: Level, startAt: number) => boolean;

/**
 * Within the caller's transaction.
 *
 * @param stands of those that are there; the others take from the blocks what they lack
 */
export function rebuildRollups(db: Connection, stands: Stands = () => true): void {
  const shelf = openShelf(db);
  const rollups = openRollups(db, shelf);
  const stations = db.prepare<[], { id: number; layout: number }>('SELECT id, layout FROM station');
  const starts = (table: string, at: string, level: Level, more = '') =>
    db
      .prepare<[number], number>(`SELECT DISTINCT ${at} / ${level.spanMs} * ${level.spanMs} FROM ${table}
      WHERE station = ? ${more} ORDER BY 1`)
      .pluck();
  const days = starts('blk', 'fromAt', MINUTES);
  const spans = starts('rb', 'startAt', QUARTERS, `AND stepMs = ${MINUTES.stepMs}`);
  const blocks = db.prepare<[number, number, number], { layout: number; body: Buffer }>(
    'SELECT layout, body FROM blk WHERE station = ? AND fromAt >= ? AND fromAt < ? ORDER BY fromAt, id',
  );
  for (const { id, layout: layoutId } of stations.all()) {
    const layout = shelf.byId(layoutId);
    const make = (level: Level, startAt: number, fill: (buckets: Buckets) => void) => {
      const stored = rollups.read(id, level, startAt);
      if (stored !== undefined && stands(id, level, startAt)) return;
      const buckets = emptyBuckets(layout.channels.length, slotsOf(level));
      fill(buckets);
      if (stored !== undefined) keepFuller(buckets, stored);
      rollups.put(id, level, startAt, buckets, layout, layoutId);
    };
    for (const startAt of days.all(id))
      make(MINUTES, startAt, buckets => {
        for (const { layout: of, body } of blocks.all(id, startAt, startAt + MINUTES.spanMs)) {
          const block = openBlock(body, shelf.byId(of));
          addRows(buckets, MINUTES.stepMs, startAt, block.rows());
        }
      });
    for (const startAt of spans.all(id))
      make(QUARTERS, startAt, buckets => {
        for (let at = startAt; at < startAt + QUARTERS.spanMs; at += MINUTES.spanMs)
          addFiner(buckets, QUARTERS, startAt, rollups.read(id, MINUTES, at) ?? [], MINUTES.stepMs, at);
      });
  }
}
