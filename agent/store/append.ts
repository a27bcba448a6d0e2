/**
 * Adds one batch to the record, within the caller's transaction: readings into the open hour (older hours are sealed),
 * totals added to their days, cursors, outages, spans and facts. A batch whose readings are already there adds nothing.
 */

import type { Reading } from '#kit';
import type { Batch } from '#messages';
import { admit } from './admit.ts';
import { ROWS_MAX } from './codec/column.ts';
import { EMPTY_LAYOUT, extendLayout, type Layout } from './codec/layout.ts';
import type { Connection } from './connection.ts';
import { recordError } from './failure.ts';
import { prepareLedger } from './ledger.ts';
import { openSealer, prepareSeal } from './seal.ts';
import { openShelf } from './shelf.ts';
import { openTail } from './tail.ts';

const HOUR_MS = 3_600_000;
const hourOf = (at: number): number => Math.floor(at / HOUR_MS);

interface StationRow {
  id: number;
  layout: number;
  lastAt: number | null;
}

function byStation(readings: readonly Reading[]): Map<string, Reading[]> {
  const groups = new Map<string, Reading[]>();
  for (const reading of readings) {
    const group = groups.get(reading.station);
    if (group === undefined) groups.set(reading.station, [reading]);
    else group.push(reading);
  }
  return groups;
}

/** Cuts readings, in order of time, at full hours (and where there are too many of one hour for a block). */
export function byHour(readings: readonly Reading[]): Reading[][] {
  const hours: Reading[][] = [];
  for (const reading of readings) {
    const last = hours.at(-1);
    const fits = last !== undefined && last.length < ROWS_MAX && hourOf(last[0]!.at) === hourOf(reading.at);
    if (fits) last.push(reading);
    else hours.push([reading]);
  }
  return hours;
}

export function keysOf(readings: readonly Reading[]): Set<string> {
  const keys = new Set<string>();
  for (const reading of readings) for (const key in reading.quantities) keys.add(key);
  return keys;
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

  const write = (name: string, row: StationRow, readings: readonly Reading[]) => {
    const layout: Layout = extendLayout(shelf.byId(row.layout), keysOf(readings));
    const layoutId = shelf.idOf(layout);
    const sealer = openSealer(sealing, row.id, layout, layoutId);
    const hours = byHour(readings);
    const openHour = hours.at(-1)!;
    const openAt = tail.startAt(row.id);
    let earlier: Reading[] = [];
    if (openAt !== undefined && hourOf(openAt) !== hourOf(openHour[0]!.at)) {
      earlier = tail.take(row.id, name);
      if (hourOf(openAt) !== hourOf(hours[0]![0]!.at)) sealer.seal(earlier);
      else hours[0] = [...earlier, ...hours[0]!];
    }
    for (const hour of hours.slice(0, -1)) sealer.seal(hour);
    sealer.finish();
    tail.add(row.id, name, openHour, layout, layoutId);
    setStation.run({ id: row.id, layout: layoutId, fromAt: readings[0]!.at, toAt: readings.at(-1)!.at });
    for (const [session, last] of new Map(readings.map(r => [r.session, r]))) {
      const first = readings.find(r => r.session === session)!;
      setSession.run(row.id, session, last.seq, first.at, last.at);
    }
  };

  return batch => {
    const admitted = new Map<string, 'fresh' | 'replayed'>();
    for (const [name, readings] of byStation(batch.readings)) {
      const row = station(name);
      const end = { lastAt: row.lastAt, lastSeq: (session: string) => lastSeq.get(row.id, session) };
      const admission = admit(readings, end);
      if (typeof admission === 'object') throw recordError('INTERNAL', `station ${name}: ${admission.refused}`);
      admitted.set(name, admission);
      if (admission === 'fresh') write(name, row, readings);
    }
    ledger(batch, admitted, name => station(name).id);
  };
}
