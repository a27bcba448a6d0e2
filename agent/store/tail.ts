/**
 * The hour still open: one small block per commit and station, gone once the hour is sealed. Many small blocks are
 * joined now and then, so that a question never opens hundreds of them. Its rows tell where the record ends; `station` and
 * `session` are told when they leave, since each table that a commit touches is another page written.
 */
import type { Reading } from '#kit';
import { columnsOf } from './codec/columns.ts';
import { encodeColumns, openBlock } from './codec/rows.ts';
import type { Connection } from './connection.ts';
import { grown, type LayoutShelf, type Numbered } from './shelf.ts';

/** Blocks of fewer rows than this are small; so many of them are joined. */
const SMALL_ROWS = 600;
const JOIN_BLOCKS = 64;

interface TailRow {
  layout: number;
  body: Buffer;
}

export interface StoredBlock extends TailRow {
  fromAt: number;
  toAt: number;
  count: number;
}

export interface Tail {
  /** Instant of its first reading; undefined where it is empty. */
  startAt(station: number): number | undefined;
  /** Instant of its last reading; null where it is empty. */
  endAt(station: number): number | null;
  /** Last seq of a session in it; undefined where it holds none of that session. */
  lastSeq(station: number, session: string): number | undefined;
  /** Adds readings of the open hour, at least one. @returns the station's layout, grown by what they told */
  add(station: number, name: string, readings: readonly Reading[], known: Numbered): Numbered;
  /** Where all of it is one block of so many rows, gives that as it is and empties it; false where it is not. */
  giveWhole(station: number, leastRows: number, take: (block: StoredBlock) => void): boolean;
  /** Gives all its readings and empties it. */
  take(station: number, name: string): Reading[];
}

/** Rows of a station have the numbers from one of these up to the next. */
const NUMBERS = 2 ** 32;
const IN_STATION = `id > @station * ${NUMBERS} AND id < (@station + 1) * ${NUMBERS}`;

/** The number of a row as another file had it, in the place of its station. */
export const tailNumber = (station: number, id: number): number => station * NUMBERS + (id % NUMBERS);

export function openTail(db: Connection, shelf: LayoutShelf): Tail {
  const first = db.prepare<[object], number>(`SELECT fromAt FROM tail WHERE ${IN_STATION} ORDER BY id LIMIT 1`).pluck();
  const newest = db.prepare<[object], number | null>(`SELECT max(id) FROM tail WHERE ${IN_STATION}`).pluck();
  const end = db.prepare<[object], number | null>(`SELECT max(toAt) FROM tail WHERE ${IN_STATION}`).pluck();
  const lastSeq = db
    .prepare<[object], number | null>(`SELECT max(lastSeq) FROM tail WHERE ${IN_STATION} AND session = @session`)
    .pluck();
  const insert = db.prepare(`INSERT INTO tail (id, station, layout, fromAt, toAt, count, body, session, lastSeq)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`);
  const blocks = db.prepare<[object], TailRow>(
    `SELECT layout, body FROM tail WHERE ${IN_STATION} AND count < @below ORDER BY id`,
  );
  const all = db.prepare<[object], StoredBlock>(
    `SELECT layout, fromAt, toAt, count, body FROM tail WHERE ${IN_STATION} LIMIT 2`,
  );
  const tellSessions = db.prepare(`UPDATE session SET lastSeq = max(session.lastSeq, told.seq),
    lastAt = max(lastAt, told.toAt) FROM (SELECT session, max(lastSeq) AS seq, max(toAt) AS toAt FROM tail
      WHERE ${IN_STATION} AND count < @below AND session IS NOT NULL GROUP BY session) AS told
    WHERE session.station = @station AND session.name = told.session`);
  const tellStation = db.prepare(`UPDATE station SET lastAt = max(lastAt, told.toAt)
    FROM (SELECT max(toAt) AS toAt FROM tail WHERE ${IN_STATION} AND count < @below) AS told
    WHERE station.id = @station AND told.toAt > lastAt`);
  const remove = db.prepare(`DELETE FROM tail WHERE ${IN_STATION} AND count < @below`);
  const small = db
    .prepare<[object], number>(`SELECT count(*) FROM tail WHERE ${IN_STATION} AND count < ${SMALL_ROWS}`)
    .pluck();

  const empty = (rows: { station: number; below: number }) => {
    tellSessions.run(rows);
    tellStation.run(rows);
    remove.run(rows);
  };

  const take = (station: number, name: string, below: number): Reading[] => {
    const rows = blocks.all({ station, below });
    empty({ station, below });
    return rows.flatMap(row => openBlock(row.body, shelf.byId(row.layout)).readings(name));
  };

  return {
    startAt: station => first.get({ station }),
    endAt: station => end.get({ station }) ?? null,
    lastSeq: (station, session) => lastSeq.get({ station, session }) ?? undefined,
    giveWhole: (station, leastRows, taker) => {
      const [whole, more] = all.all({ station });
      if (whole === undefined || more !== undefined || whole.count < leastRows) return false;
      empty({ station, below: Number.MAX_SAFE_INTEGER });
      taker(whole);
      return true;
    },
    take: (station, name) => take(station, name, Number.MAX_SAFE_INTEGER),
    add: (station, name, readings, known) => {
      // Large blocks are older than all small ones, so joining the small ones keeps the order.
      const joined =
        small.get({ station })! < JOIN_BLOCKS ? readings : [...take(station, name, SMALL_ROWS), ...readings];
      const columns = columnsOf(joined, known.layout);
      const now = grown(shelf, known, columns.layout);
      const id = (newest.get({ station }) ?? station * NUMBERS) + 1;
      const [from, to] = [joined[0]!, joined.at(-1)!];
      insert.run(id, station, now.id, from.at, to.at, joined.length, encodeColumns(columns), to.session, to.seq);
      return now;
    },
  };
}
