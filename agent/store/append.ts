/**
 * Adds one batch to the record, within the caller's transaction: readings into the open hour (older hours are sealed),
 * totals added to their days, cursors, outages, spans and facts. A batch whose readings are already there adds nothing.
 */

import type { Reading } from '#kit';
import type { Batch } from '#messages';
import { admit, type Share } from './admit.ts';
import { ROWS_MAX } from './codec/column.ts';
import { EMPTY_LAYOUT } from './codec/layout.ts';
import type { Connection } from './connection.ts';
import { recordError } from './failure.ts';
import { prepareLedger } from './ledger.ts';
import { openSealer, prepareSeal } from './seal.ts';
import { openShelf } from './shelf.ts';
import { openTail } from './tail.ts';

const HOUR_MS = 3_600_000;
/** A block of so many rows is left as it is where its hour goes on in another one, as it does between pieces of an import. */
const ALONE_ROWS = 600;
const hourOf = (at: number): number => Math.floor(at / HOUR_MS);

interface StationRow {
  id: number;
  layout: number;
  lastAt: number | null;
}

/** The first place from `low` on whose reading is not before an instant; readings are in order of time. */
function placeOf(readings: readonly Reading[], atMs: number, low: number): number {
  let [from, to] = [low, readings.length];
  while (from < to) {
    const middle = (from + to) >> 1;
    if (readings[middle]!.at < atMs) from = middle + 1;
    else to = middle;
  }
  return from;
}

/** Cuts readings, in order of time, at full hours (and where there are too many of one hour for a block). */
export function byHour(readings: readonly Reading[]): Reading[][] {
  const hours: Reading[][] = [];
  for (let from = 0, to = 0; from < readings.length; from = to) {
    const endMs = (hourOf(readings[from]!.at) + 1) * HOUR_MS;
    to = Math.min(placeOf(readings, endMs, from), from + ROWS_MAX);
    hours.push(readings.slice(from, to));
  }
  return hours;
}

/** Prepares the statements once; the answer adds one batch. Throws WattkeepError INTERNAL for a batch that cannot be. */
export function openAppender(db: Connection): (batch: Batch) => void {
  const shelf = openShelf(db);
  const sealing = prepareSeal(db, shelf);
  const ledger = prepareLedger(db);
  const tail = openTail(db, shelf);
  const findStation = db.prepare<[string], StationRow>('SELECT id, layout, lastAt FROM station WHERE name = ?');
  const addStation = db.prepare('INSERT INTO station (name, layout) VALUES (?, ?)');
  const setStation = db.prepare(`UPDATE station SET layout = @layout, lastAt = max(coalesce(lastAt, @toAt), @toAt),
    firstAt = min(coalesce(firstAt, @fromAt), @fromAt) WHERE id = @id`);
  const lastSeq = db.prepare<[number, string], number>('SELECT lastSeq FROM session WHERE station = ? AND name = ?');
  const setSession = db.prepare(`INSERT INTO session (station, name, lastSeq, firstAt, lastAt) VALUES (?, ?, ?, ?, ?)
    ON CONFLICT (station, name) DO UPDATE SET lastSeq = excluded.lastSeq, lastAt = excluded.lastAt`);
  lastSeq.pluck();

  const station = (name: string): StationRow => {
    const found = findStation.get(name);
    if (found !== undefined) return found;
    const layout = shelf.idOf(EMPTY_LAYOUT);
    return { id: Number(addStation.run(name, layout).lastInsertRowid), layout, lastAt: null };
  };

  const write = (row: StationRow, { station: name, readings, sessions, recorded }: Share) => {
    const sealer = openSealer(sealing, shelf, row.id, { layout: shelf.byId(row.layout), id: row.layout });
    const hours = byHour(readings);
    const openHour = hours.at(-1)!;
    const openAt = tail.startAt(row.id);
    if (openAt !== undefined && hourOf(openAt) !== hourOf(openHour[0]!.at)) {
      const hourGoesOn = hourOf(openAt) === hourOf(hours[0]![0]!.at);
      if (!tail.giveWhole(row.id, hourGoesOn ? ALONE_ROWS : 1, sealer.adopt)) {
        const open = tail.take(row.id, name);
        if (hourGoesOn) hours[0] = [...open, ...hours[0]!];
        else sealer.seal(open);
      }
    }
    for (const hour of hours.slice(0, -1)) sealer.seal(hour);
    const { id: layoutId } = tail.add(row.id, name, openHour, sealer.finish());
    if (layoutId !== row.layout || row.lastAt === null)
      setStation.run({ id: row.id, layout: layoutId, fromAt: readings[0]!.at, toAt: readings.at(-1)!.at });
    // The tail tells of a session that goes on.
    const { session: goesOn } = readings.at(-1)!;
    for (const [session, { first, last }] of sessions)
      if (session !== goesOn || recorded.get(session) === undefined)
        setSession.run(row.id, session, last.seq, first.at, last.at);
  };

  return batch => {
    const rows = new Map<string, StationRow>();
    const shares = admit(batch.readings, name => {
      const row = station(name);
      rows.set(name, row);
      return {
        lastAt: tail.endAt(row.id) ?? row.lastAt,
        lastSeq: session => tail.lastSeq(row.id, session) ?? lastSeq.get(row.id, session),
      };
    });
    const admitted = new Map<string, 'fresh' | 'replayed'>();
    for (const share of shares) {
      const { station: name, verdict } = share;
      if (typeof verdict === 'object') throw recordError('INTERNAL', `station ${name}: ${verdict.refused}`);
      admitted.set(name, verdict);
      if (verdict === 'fresh') write(rows.get(name)!, share);
    }
    ledger(batch, admitted, name => station(name).id);
  };
}
