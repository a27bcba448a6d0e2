/** Rollups that are missing, made from the blocks they are a function of; within the caller's transaction. */
import { encodeBuckets } from '../codec/rollup.ts';
import { openBlock } from '../codec/rows.ts';
import type { Connection } from '../kept.ts';
import { addReadings, type Buckets, LEVELS } from '../rollup.ts';
import { prepareSeal } from '../seal.ts';
import { openShelf } from '../shelf.ts';

/** @returns how many were made */
export function rebuildRollups(db: Connection): number {
  const shelf = openShelf(db);
  const { putRollup } = prepareSeal(db);
  const stations = db.prepare<[], { id: number; name: string; layout: number }>('SELECT id, name, layout FROM station');
  const starts = db
    .prepare<[{ id: number; spanMs: number; stepMs: number }], number>(
      `SELECT DISTINCT fromAt / cast(@spanMs AS INT) * cast(@spanMs AS INT) AS startAt FROM blk WHERE station = @id
        AND NOT EXISTS (SELECT 1 FROM rb WHERE rb.station = @id AND rb.stepMs = @stepMs
          AND rb.startAt = blk.fromAt / cast(@spanMs AS INT) * cast(@spanMs AS INT)) ORDER BY 1`,
    )
    .pluck();
  const blocks = db.prepare<[number, number, number], { layout: number; body: Buffer }>(
    'SELECT layout, body FROM blk WHERE station = ? AND fromAt >= ? AND fromAt < ? ORDER BY fromAt, id',
  );
  let made = 0;
  for (const { id, name, layout: layoutId } of stations.all()) {
    const layout = shelf.byId(layoutId);
    for (const level of LEVELS) {
      for (const startAt of starts.all({ id, spanMs: level.spanMs, stepMs: level.stepMs })) {
        const buckets: Buckets = [];
        for (const { layout: of, body } of blocks.all(id, startAt, startAt + level.spanMs))
          addReadings(buckets, layout, level, startAt, openBlock(body, shelf.byId(of)).readings(name));
        putRollup(id, level.stepMs, startAt, layoutId, encodeBuckets(buckets, layout));
        made++;
      }
    }
  }
  return made;
}
