/**
 * Sealing: an hour that is over becomes one block, and its readings join the rollups, within the caller's transaction.
 * Rollup blocks touched by one transaction are decoded once and written once, which is what makes an import fast.
 */
import type { Reading } from '#kit';
import { ROWS_MAX } from './codec/column.ts';
import type { Layout } from './codec/layout.ts';
import { decodeBuckets, encodeBuckets } from './codec/rollup.ts';
import { encodeReadings } from './codec/rows.ts';
import type { Connection } from './connection.ts';
import { addReadings, type Buckets, emptyColumn, LEVELS, type Level } from './rollup.ts';
import type { LayoutShelf } from './shelf.ts';

export interface Sealer {
  /** Writes readings, all of one station and hour and in order, as a block (more where they are very many). */
  seal(readings: readonly Reading[]): void;
  /** Writes recorded readings of an hour anew together with others of it, in order of time; only the others are rolled up. */
  join(recorded: readonly Reading[], added: readonly Reading[]): void;
  /** Writes the rollups that the sealed readings changed. Once, at the end. */
  finish(): void;
}

interface OpenRollup {
  level: Level;
  startAt: number;
  buckets: Buckets;
}

export interface SealStatements {
  insertBlock(station: number, layout: number, fromAt: number, toAt: number, count: number, body: Buffer): void;
  rollup(station: number, stepMs: number, startAt: number): { layout: number; body: Buffer } | undefined;
  putRollup(station: number, stepMs: number, startAt: number, layout: number, body: Buffer): void;
}

export function prepareSeal(db: Connection): SealStatements {
  const insert = db.prepare('INSERT INTO blk (station, layout, fromAt, toAt, count, body) VALUES (?, ?, ?, ?, ?, ?)');
  const read = db.prepare<[number, number, number], { layout: number; body: Buffer }>(
    'SELECT layout, body FROM rb WHERE station = ? AND stepMs = ? AND startAt = ?',
  );
  const put = db.prepare(`INSERT INTO rb (station, stepMs, startAt, layout, body) VALUES (?, ?, ?, ?, ?)
    ON CONFLICT (station, stepMs, startAt) DO UPDATE SET layout = excluded.layout, body = excluded.body`);
  return {
    insertBlock: (...row) => {
      insert.run(...row);
    },
    rollup: (...key) => read.get(...key),
    putRollup: (...row) => {
      put.run(...row);
    },
  };
}

export function openSealer(
  statements: SealStatements,
  shelf: LayoutShelf,
  station: number,
  layout: Layout,
  layoutId: number,
): Sealer {
  const open = new Map<string, OpenRollup>();

  const load = (level: Level, startAt: number): Buckets => {
    const stored = statements.rollup(station, level.stepMs, startAt);
    if (stored === undefined) return [];
    const older = shelf.byId(stored.layout);
    return decodeBuckets(stored.body, older, [...older.channels.keys()]).map(
      column => column ?? emptyColumn(level.spanMs / level.stepMs),
    );
  };

  const rollUp = (readings: readonly Reading[]) => {
    for (const level of LEVELS) {
      // An hour never crosses the start of a block: both spans are whole days.
      const startAt = Math.floor(readings[0]!.at / level.spanMs) * level.spanMs;
      const key = `${level.stepMs}@${startAt}`;
      const rollup = open.get(key) ?? { level, startAt, buckets: load(level, startAt) };
      open.set(key, rollup);
      addReadings(rollup.buckets, layout, level, startAt, readings);
    }
  };

  const write = (readings: readonly Reading[]) => {
    for (let from = 0; from < readings.length; from += ROWS_MAX) {
      const part = readings.slice(from, from + ROWS_MAX);
      const body = encodeReadings(part, layout);
      statements.insertBlock(station, layoutId, part[0]!.at, part.at(-1)!.at, part.length, body);
    }
  };

  return {
    seal: readings => {
      write(readings);
      rollUp(readings);
    },
    join: (recorded, added) => {
      // Sorting keeps the order of equal instants: what was recorded comes first.
      write([...recorded, ...added].sort((a, b) => a.at - b.at));
      rollUp(added);
    },
    finish: () => {
      for (const { level, startAt, buckets } of open.values()) {
        statements.putRollup(station, level.stepMs, startAt, layoutId, encodeBuckets(buckets, layout));
      }
      open.clear();
    },
  };
}
