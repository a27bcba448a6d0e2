/**
 * Adds readings that lie before a station's record or in a gap of it, within the caller's transaction: hours that they
 * share with recorded ones are written anew in order of time, rollups and totals take only what is added. In an hour of
 * which only minutes are left they join those. Which readings may be added is the caller's business; what is given here is
 * counted.
 */
import type { Reading } from '#kit';
import type { Batch, BridgedBlock } from '#messages';
import { byHour } from './append.ts';
import { closeOpenHours } from './close-hours.ts';
import { EMPTY_LAYOUT } from './codec/layout.ts';
import { openBlock } from './codec/rows.ts';
import { removeBridges } from './counted.ts';
import type { Connection } from './kept.ts';
import { prepareLedger } from './ledger.ts';
import { prepareOnlyMinutes } from './query/only-minutes.ts';
import { openSealer, prepareSeal } from './seal.ts';
import { openShelf } from './shelf.ts';

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

export function insertOlder(db: Connection, batch: OlderBatch): void {
  const { station: name, readings, gap } = batch;
  const shelf = openShelf(db);
  closeOpenHours(db, name);
  const found = db
    .prepare<[string], { id: number; layout: number }>('SELECT id, layout FROM station WHERE name = ?')
    .get(name);
  const id =
    found?.id ??
    Number(
      db.prepare('INSERT INTO station (name, layout) VALUES (?, ?)').run(name, shelf.idOf(EMPTY_LAYOUT))
        .lastInsertRowid,
    );
  if (readings.length > 0) {
    const layoutBefore = found?.layout ?? shelf.idOf(EMPTY_LAYOUT);
    const sealer = openSealer(prepareSeal(db, shelf), shelf, id, {
      layout: shelf.byId(layoutBefore),
      id: layoutBefore,
    });
    const inHour = db.prepare<[number, number, number], BlockRow>(
      'SELECT id, layout, body FROM blk WHERE station = ? AND fromAt >= ? AND fromAt < ? ORDER BY fromAt, id',
    );
    const remove = db.prepare('DELETE FROM blk WHERE id = ?');
    const onlyMinutes = prepareOnlyMinutes(db, shelf);
    const countLetGo = db.prepare('UPDATE letGo SET readings = readings + cast(? AS INT) WHERE station = ?');
    for (const added of byHour(readings)) {
      const startAt = Math.floor(added[0]!.at / HOUR_MS) * HOUR_MS;
      const blocks = inHour.all(id, startAt, startAt + HOUR_MS);
      if (blocks.length === 0 && onlyMinutes.any(id, startAt, startAt + HOUR_MS)) {
        // Beside minutes whose readings were let go, readings would be taken for the whole hour.
        sealer.addMinutes(added);
        countLetGo.run(added.length, id);
        continue;
      }
      for (const block of blocks) remove.run(block.id);
      sealer.join(
        blocks.flatMap(block => openBlock(block.body, shelf.byId(block.layout)).readings(name)),
        added,
      );
    }
    const { id: layoutId } = sealer.finish();
    db.prepare(`UPDATE station SET layout = @layoutId, lastAt = max(coalesce(lastAt, @toAt), @toAt),
      firstAt = min(coalesce(firstAt, @fromAt), @fromAt) WHERE id = @id`).run({
      id,
      layoutId,
      fromAt: readings[0]!.at,
      toAt: readings.at(-1)!.at,
    });
    addSessions(db, id, readings);
  }
  if (gap !== null)
    db.prepare(`DELETE FROM span WHERE station = ? AND reason IN ('agentDown', 'noReading')
      AND fromMs >= ? AND toMs <= ?`).run(id, gap.fromMs, gap.toMs);
  removeBridges(db, id, batch.recounted ?? []);
  const plain: Batch = {
    readings: [],
    days: batch.days,
    cursors: [],
    outages: batch.outages,
    spans: batch.spans,
    facts: [],
    counted: batch.counted ?? [],
    bridges: batch.bridges ?? [],
  };
  prepareLedger(db)(plain, new Map([[name, 'fresh']]), () => id);
}

function addSessions(db: Connection, id: number, readings: readonly Reading[]): void {
  const put = db.prepare(`INSERT INTO session (station, name, lastSeq, firstAt, lastAt) VALUES (?, ?, ?, ?, ?)
    ON CONFLICT (station, name) DO UPDATE SET lastSeq = max(lastSeq, excluded.lastSeq),
      firstAt = min(firstAt, excluded.firstAt), lastAt = max(lastAt, excluded.lastAt)`);
  const firsts = new Map<string, Reading>();
  for (const reading of readings) if (!firsts.has(reading.session)) firsts.set(reading.session, reading);
  for (const [session, last] of new Map(readings.map(r => [r.session, r])))
    put.run(id, session, last.seq, firsts.get(session)!.at, last.at);
}
