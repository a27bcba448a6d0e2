/**
 * Sealing: an hour that is over becomes one block, and its readings join the rollups, within the caller's transaction.
 * Rollup blocks touched by one transaction are decoded once and written once, which is what makes an import fast.
 */
import type { Reading } from '#kit';
import { ROWS_MAX } from './codec/column.ts';
import { type Columns, columnsOf } from './codec/columns.ts';
import { Room } from './codec/room.ts';
import { encodeColumns, openBlock } from './codec/rows.ts';
import type { Connection } from './connection.ts';
import {
  addFiner,
  addRows,
  type Buckets,
  emptyBuckets,
  emptyOut,
  LEVELS,
  type Level,
  MINUTES,
  type Rows,
} from './rollup.ts';
import { grown, type LayoutShelf, type Numbered } from './shelf.ts';
import { openRollups, type StoredRollups } from './stored-rollups.ts';
import type { StoredBlock } from './tail.ts';

const HOUR_MS = 3_600_000;

export interface Sealer {
  /** Writes readings, all of one station and hour and in order, as a block (more where they are very many). */
  seal(readings: readonly Reading[]): void;
  /** Writes recorded readings of an hour anew together with others of it, in order of time; only the others are rolled up. */
  join(recorded: readonly Reading[], added: readonly Reading[]): void;
  /** Takes over a block of a whole hour as it is, and rolls it up. */
  adopt(block: StoredBlock): void;
  /** Only rolls up readings of an hour whose readings were let go. */
  addMinutes(added: readonly Reading[]): void;
  /** Writes the rollups that the sealed readings changed. Once, at the end. @returns the layout, grown by what they told */
  finish(): Numbered;
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

/** @param known the station's layout so far */
export function openSealer(statements: SealStatements, shelf: LayoutShelf, station: number, known: Numbered): Sealer {
  const open = new Map<string, OpenRollup>();
  const room = new Room();
  let now = known;
  let minutes: Buckets = [];

  const rollUp = (rows: Rows) => {
    const hourAt = Math.floor(rows.at[0]! / HOUR_MS) * HOUR_MS;
    if (minutes.length === rows.channels.length) emptyOut(minutes);
    else minutes = emptyBuckets(rows.channels.length, HOUR_MS / MINUTES.stepMs);
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
    const [fromAt, toAt] = [columns.at[0]!, columns.at[columns.count - 1]!];
    statements.insertBlock(station, now.id, fromAt, toAt, columns.count, encodeColumns(columns));
  };

  const inParts = (readings: readonly Reading[], ...takers: ((columns: Columns) => void)[]) => {
    for (let from = 0; from < readings.length; from += ROWS_MAX) {
      const part = readings.length <= ROWS_MAX ? readings : readings.slice(from, from + ROWS_MAX);
      const columns = columnsOf(part, now.layout, room);
      now = grown(shelf, now, columns.layout);
      for (const take of takers) take(columns);
    }
  };

  return {
    seal: readings => inParts(readings, write, rollUp),
    join: (recorded, added) => {
      if (recorded.length === 0) return inParts(added, write, rollUp);
      // Sorting keeps the order of equal instants: what was recorded comes first.
      const all = [...recorded, ...added].sort((a, b) => a.at - b.at);
      inParts(all, write);
      inParts(added, rollUp);
    },
    adopt: ({ layout, fromAt, toAt, count, body }) => {
      statements.insertBlock(station, layout, fromAt, toAt, count, body);
      rollUp(openBlock(body, shelf.byId(layout)).rows());
    },
    addMinutes: added => inParts(added, rollUp),
    finish: () => {
      for (const { level, startAt, buckets } of open.values())
        statements.rollups.put(station, level, startAt, buckets, now.layout, now.id);
      open.clear();
      return now;
    },
  };
}
