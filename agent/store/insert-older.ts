/**
 * Adds readings that lie before a station's record or in a gap of it, within the caller's transaction: hours that they
 * share with recorded ones are written anew in order of time, rollups and totals take only what is added. In an hour of
 * which only minutes are left they join those. Which readings may be added is the caller's business; what is given here is
 * counted.
 */
import type { Reading } from '#kit';
import type { Batch, BridgedBlock } from '#messages';
import { byHour } from './append.ts';
import { prepareCloseHours } from './close-hours.ts';
import { EMPTY_LAYOUT } from './codec/layout.ts';
import { openBlock } from './codec/rows.ts';
import { prepareRemoveBridges } from './counted.ts';
import type { Connection } from './kept.ts';
import { prepareLedger } from './ledger.ts';
import { prepareOnlyMinutes } from './query/only-minutes.ts';
import { openSealer, prepareSeal, type Sealer } from './seal.ts';
import { type LayoutShelf, openShelf } from './shelf.ts';

export interface OlderBatch extends Pick<Batch, 'days' | 'spans' | 'outages' | 'counted' | 'bridges'> {
  station: string;
  /** In order of time, all of sessions that are new to the record. */
  readings: readonly Reading[];
  /** The gap they lie in: its explanations give way to those of `spans`. null: they lie before the first reading. */
  gap: { fromMs: number; toMs: number } | null;
  /** Blocks over that gap, which are counted anew in `counted` and `bridges`. */
  recounted?: readonly Pick<BridgedBlock, 'quantity' | 'fromAt'>[];
}

const HOUR_MS = 3_600_000;

interface BlockRow {
  id: number;
  layout: number;
  body: Buffer;
}

function prepareStatements(db: Connection, shelf: LayoutShelf) {
  const find = db.prepare<[string], { id: number; layout: number }>('SELECT id, layout FROM station WHERE name = ?');
  const add = db.prepare('INSERT INTO station (name, layout) VALUES (?, ?)');
  return {
    stationOf: (name: string): { id: number; layout: number } => {
      const found = find.get(name);
      if (found !== undefined) return found;
      const layout = shelf.idOf(EMPTY_LAYOUT);
      return { id: Number(add.run(name, layout).lastInsertRowid), layout };
    },
    tellStation: db.prepare(`UPDATE station SET layout = @layout, lastAt = max(coalesce(lastAt, @toAt), @toAt),
      firstAt = min(coalesce(firstAt, @fromAt), @fromAt) WHERE id = @id`),
    tellSession: db.prepare(`INSERT INTO session (station, name, lastSeq, firstAt, lastAt) VALUES (?, ?, ?, ?, ?)
      ON CONFLICT (station, name) DO UPDATE SET lastSeq = max(lastSeq, excluded.lastSeq),
        firstAt = min(firstAt, excluded.firstAt), lastAt = max(lastAt, excluded.lastAt)`),
    removeSpans: db.prepare(`DELETE FROM span WHERE station = ? AND reason IN ('agentDown', 'noReading')
      AND fromMs >= ? AND toMs <= ?`),
  };
}

/** The answer joins readings of one hour to those of it that are recorded, or to its minutes where only these are left. */
function prepareHours(db: Connection, shelf: LayoutShelf) {
  const inHour = db.prepare<[number, number, number], BlockRow>(
    'SELECT id, layout, body FROM blk WHERE station = ? AND fromAt >= ? AND fromAt < ? ORDER BY fromAt, id',
  );
  const remove = db.prepare('DELETE FROM blk WHERE id = ?');
  const onlyMinutes = prepareOnlyMinutes(db, shelf);
  const countLetGo = db.prepare('UPDATE letGo SET readings = readings + cast(? AS INT) WHERE station = ?');
  return (sealer: Sealer, id: number, name: string, added: readonly Reading[]) => {
    const startAt = Math.floor(added[0]!.at / HOUR_MS) * HOUR_MS;
    const blocks = inHour.all(id, startAt, startAt + HOUR_MS);
    if (blocks.length === 0 && onlyMinutes.any(id, startAt, startAt + HOUR_MS)) {
      // Beside minutes whose readings were let go, readings would be taken for the whole hour.
      sealer.addMinutes(added);
      countLetGo.run(added.length, id);
      return;
    }
    for (const block of blocks) remove.run(block.id);
    sealer.join(
      blocks.flatMap(block => openBlock(block.body, shelf.byId(block.layout)).readings(name)),
      added,
    );
  };
}

/** Prepares the statements once; the answer adds one batch. */
export function openInserter(db: Connection): (batch: OlderBatch) => void {
  const shelf = openShelf(db);
  const statements = prepareStatements(db, shelf);
  const sealing = prepareSeal(db, shelf);
  const join = prepareHours(db, shelf);
  const closeHours = prepareCloseHours(db);
  const removeBridges = prepareRemoveBridges(db);
  const ledger = prepareLedger(db);
  return batch => {
    const { station: name, readings, gap } = batch;
    closeHours(name);
    const { id, layout } = statements.stationOf(name);
    if (readings.length > 0) {
      const sealer = openSealer(sealing, shelf, id, { layout: shelf.byId(layout), id: layout });
      for (const added of byHour(readings)) join(sealer, id, name, added);
      const grown = sealer.finish();
      const [fromAt, toAt] = [readings[0]!.at, readings.at(-1)!.at];
      statements.tellStation.run({ id, layout: grown.id, fromAt, toAt });
      for (const { first, last } of sessionsOf(readings))
        statements.tellSession.run(id, last.session, last.seq, first.at, last.at);
    }
    if (gap !== null) statements.removeSpans.run(id, gap.fromMs, gap.toMs);
    removeBridges(id, batch.recounted ?? []);
    const { days, outages, spans, counted = [], bridges = [] } = batch;
    const plain: Batch = { readings: [], days, cursors: [], outages, spans, facts: [], counted, bridges };
    ledger(plain, new Map([[name, 'fresh']]), () => id);
  };
}

function sessionsOf(readings: readonly Reading[]): Iterable<{ first: Reading; last: Reading }> {
  const sessions = new Map<string, { first: Reading; last: Reading }>();
  let ends: { first: Reading; last: Reading } | undefined;
  for (const reading of readings) {
    if (ends?.last.session !== reading.session) {
      ends = sessions.get(reading.session) ?? { first: reading, last: reading };
      sessions.set(reading.session, ends);
    }
    ends.last = reading;
  }
  return sessions.values();
}
