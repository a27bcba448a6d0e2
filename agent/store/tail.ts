/**
 * The hour still open: one small block per commit and station, gone once the hour is sealed. Many small blocks are
 * joined now and then, so that a question never opens hundreds of them.
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
  /** Adds readings of the open hour, at least one. @returns the station's layout, grown by what they told */
  add(station: number, name: string, readings: readonly Reading[], known: Numbered): Numbered;
  /** Where all of it is one large block, gives that as it is and empties it; false where it is not. */
  giveWhole(station: number, take: (block: StoredBlock) => void): boolean;
  /** Gives all its readings and empties it. */
  take(station: number, name: string): Reading[];
}

export function openTail(db: Connection, shelf: LayoutShelf): Tail {
  const first = db.prepare<[number], number>('SELECT fromAt FROM tail WHERE station = ? ORDER BY id LIMIT 1').pluck();
  const insert = db.prepare('INSERT INTO tail (station, layout, fromAt, toAt, count, body) VALUES (?, ?, ?, ?, ?, ?)');
  const blocks = db.prepare<[number, number], TailRow>(
    'SELECT layout, body FROM tail WHERE station = ? AND count < ? ORDER BY id',
  );
  const all = db.prepare<[number], StoredBlock>(
    'SELECT layout, fromAt, toAt, count, body FROM tail WHERE station = ? LIMIT 2',
  );
  const remove = db.prepare('DELETE FROM tail WHERE station = ? AND count < ?');
  const small = db
    .prepare<[number, number], number>('SELECT count(*) FROM tail WHERE station = ? AND count < ?')
    .pluck();

  const take = (station: number, name: string, belowRows: number): Reading[] => {
    const rows = blocks.all(station, belowRows);
    remove.run(station, belowRows);
    return rows.flatMap(row => openBlock(row.body, shelf.byId(row.layout)).readings(name));
  };

  return {
    startAt: station => first.get(station),
    giveWhole: (station, taker) => {
      const [whole, more] = all.all(station);
      if (whole === undefined || more !== undefined) return false;
      remove.run(station, Number.MAX_SAFE_INTEGER);
      taker(whole);
      return true;
    },
    take: (station, name) => take(station, name, Number.MAX_SAFE_INTEGER),
    add: (station, name, readings, known) => {
      // Large blocks are older than all small ones, so joining the small ones keeps the order.
      const joined =
        small.get(station, SMALL_ROWS)! < JOIN_BLOCKS ? readings : [...take(station, name, SMALL_ROWS), ...readings];
      const columns = columnsOf(joined, known.layout);
      const now = grown(shelf, known, columns.layout);
      insert.run(station, now.id, joined[0]!.at, joined.at(-1)!.at, joined.length, encodeColumns(columns));
      return now;
    },
  };
}
