/** Rollup blocks of the record by station, level and beginning. */
import type { Layout } from './codec/layout.ts';
import { decodeBuckets, encodeBuckets } from './codec/rollup.ts';
import type { Connection } from './kept.ts';
import { type Buckets, emptyColumn, type Level, slotsOf } from './rollup.ts';
import type { LayoutShelf } from './shelf.ts';

export interface StoredRollups {
  /** Every column it holds; undefined where there is no such block. Throws CodecError. */
  read(station: number, level: Level, startAt: number): Buckets | undefined;
  /** Makes it or replaces it; grows `buckets` to the layout's channels. */
  put(station: number, level: Level, startAt: number, buckets: Buckets, layout: Layout, layoutId: number): void;
}

export function openRollups(db: Connection, shelf: LayoutShelf): StoredRollups {
  const find = db.prepare<[number, number, number], { layout: number; body: Buffer }>(
    'SELECT layout, body FROM rb WHERE station = ? AND stepMs = ? AND startAt = ?',
  );
  const insert = db.prepare(`INSERT INTO rb (station, stepMs, startAt, layout, body) VALUES (?, ?, ?, ?, ?)
    ON CONFLICT (station, stepMs, startAt) DO UPDATE SET layout = excluded.layout, body = excluded.body`);
  return {
    read: (station, level, startAt) => {
      const stored = find.get(station, level.stepMs, startAt);
      return stored === undefined ? undefined : allBuckets(stored.body, shelf.byId(stored.layout), level);
    },
    put: (station, level, startAt, buckets, layout, layoutId) => {
      while (buckets.length < layout.channels.length) buckets.push(emptyColumn(slotsOf(level)));
      insert.run(station, level.stepMs, startAt, layoutId, encodeBuckets(buckets, layout));
    },
  };
}

/** Throws CodecError. */
export const allBuckets = (body: Uint8Array, layout: Layout, level: Level): Buckets =>
  decodeBuckets(body, layout, [...layout.channels.keys()]).map(column => column ?? emptyColumn(slotsOf(level)));
