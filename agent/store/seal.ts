/**
 * Sealing: an hour that is over becomes one block, and its readings join the rollups, within the caller's transaction.
 * Rollup blocks touched by one transaction are decoded once and written once, which is what makes an import fast.
 */
import type { Reading } from '#kit';
import { ROWS_MAX } from './codec/column.ts';
import { type Columns, columnsOf } from './codec/columns.ts';
import type { Layout } from './codec/layout.ts';
import { encodeColumns } from './codec/rows.ts';
import type { Connection } from './connection.ts';
import { addFiner, addRows, type Buckets, emptyBuckets, LEVELS, type Level, MINUTES } from './rollup.ts';
import type { LayoutShelf } from './shelf.ts';
import { openRollups, type StoredRollups } from './stored-rollups.ts';

const HOUR_MS = 3_600_000;

export interface Sealer {
  /** Writes readings, all of one station and hour and in order, as a block (more where they are very many). */
  seal(readings: readonly Reading[]): void;
  /** Writes recorded readings of an hour anew together with others of it, in order of time; only the others are rolled up. */
  join(recorded: readonly Reading[], added: readonly Reading[]): void;
  /** Only rolls up readings of an hour whose readings were let go. */
  addMinutes(added: readonly Reading[]): void;
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
  rollups: StoredRollups;
}

export function prepareSeal(db: Connection, shelf: LayoutShelf): SealStatements {
  const insert = db.prepare('INSERT INTO blk (station, layout, fromAt, toAt, count, body) VALUES (?, ?, ?, ?, ?, ?)');
  return {
    insertBlock: (...row) => {
      insert.run(...row);
    },
    rollups: openRollups(db, shelf),
  };
}

export function openSealer(statements: SealStatements, station: number, layout: Layout, layoutId: number): Sealer {
  const open = new Map<string, OpenRollup>();

  const rollUp = (rows: Columns) => {
    if (rows.count === 0) return;
    const hourAt = Math.floor(rows.at[0]! / HOUR_MS) * HOUR_MS;
    const minutes = emptyBuckets(layout.channels.length, HOUR_MS / MINUTES.stepMs);
    addRows(minutes, MINUTES.stepMs, hourAt, rows);
    for (const level of LEVELS) {
      // An hour never crosses the start of a block: both spans are whole days.
      const startAt = Math.floor(hourAt / level.spanMs) * level.spanMs;
      const key = `${level.stepMs}@${startAt}`;
      const rollup = open.get(key) ?? {
        level,
        startAt,
        buckets: statements.rollups.read(station, level, startAt) ?? [],
      };
      open.set(key, rollup);
      addFiner(rollup.buckets, level, startAt, minutes, MINUTES.stepMs, hourAt);
    }
  };

  const write = (columns: Columns) => {
    const body = encodeColumns(columns, layout);
    statements.insertBlock(station, layoutId, columns.at[0]!, columns.at[columns.count - 1]!, columns.count, body);
  };

  const inParts = (readings: readonly Reading[], take: (columns: Columns) => void) => {
    for (let from = 0; from < readings.length; from += ROWS_MAX)
      take(columnsOf(readings.slice(from, from + ROWS_MAX), layout));
  };

  return {
    seal: readings =>
      inParts(readings, columns => {
        write(columns);
        rollUp(columns);
      }),
    join: (recorded, added) => {
      // Sorting keeps the order of equal instants: what was recorded comes first.
      inParts(
        [...recorded, ...added].sort((a, b) => a.at - b.at),
        write,
      );
      inParts(added, rollUp);
    },
    addMinutes: added => inParts(added, rollUp),
    finish: () => {
      for (const { level, startAt, buckets } of open.values()) {
        statements.rollups.put(station, level, startAt, buckets, layout, layoutId);
      }
      open.clear();
    },
  };
}
