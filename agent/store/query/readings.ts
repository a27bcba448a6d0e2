/**
 * Readings in the order they were recorded, block by block, and minutes in the hours between of which no readings are
 * left: no statement stays open between two steps, so a slow reader never keeps the write-ahead log from being emptied.
 */
import type { Reading } from '#kit';
import type { KeptReading } from '#messages';
import { openBlock } from '../codec/rows.ts';
import type { Connection } from '../connection.ts';
import type { LayoutShelf } from '../shelf.ts';
import { minuteReading, type OnlyMinutes } from './only-minutes.ts';

const HOUR_MS = 3_600_000;
const startOfHour = (at: number): number => Math.floor(at / HOUR_MS) * HOUR_MS;

interface BlockRow {
  id: number;
  fromAt: number;
  layout: number;
  body: Buffer;
}

export interface ReadingQueries {
  readings(station: string, fromMs: number, toMs: number): Generator<KeptReading>;
  latest(station: string): Reading | null;
}

export function prepareReadings(db: Connection, shelf: LayoutShelf, onlyMinutes: OnlyMinutes): ReadingQueries {
  const stationId = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  const nextBlock = db.prepare<[number, number, number, number, number], BlockRow>(`
    SELECT id, fromAt, layout, body FROM blk
    WHERE station = ? AND (fromAt, id) > (?, ?) AND fromAt < ? AND toAt >= ? ORDER BY fromAt, id LIMIT 1`);
  const tail = db.prepare<[number, number, number], BlockRow>(`
    SELECT id, fromAt, layout, body FROM tail WHERE station = ? AND fromAt < ? AND toAt >= ? ORDER BY id`);
  const lastTail = db.prepare<[number], BlockRow>('SELECT * FROM tail WHERE station = ? ORDER BY id DESC LIMIT 1');
  const lastBlock = db.prepare<[number], BlockRow>(
    'SELECT * FROM blk WHERE station = ? ORDER BY fromAt DESC, id DESC LIMIT 1',
  );
  const open = (station: string, row: BlockRow) => openBlock(row.body, shelf.byId(row.layout)).readings(station);

  function* readings(station: string, fromMs: number, toMs: number): Generator<KeptReading> {
    const id = stationId.get(station);
    if (id === undefined) return;
    const wanted = (reading: Reading) => reading.at >= fromMs && reading.at < toMs;
    function* minutes(from: number, to: number): Generator<KeptReading> {
      if (from >= to) return;
      for (const day of onlyMinutes.days(id!, from, to))
        for (const slot of day.slots) yield minuteReading(station, day, slot);
    }
    let [fromAt, blockId] = [fromMs - HOUR_MS, 0];
    /** All before it was told. */
    let doneMs = fromMs;
    for (;;) {
      // In one transaction: after the last block what is open is read as well, before it can be sealed.
      const step = db.transaction(() => {
        const block = nextBlock.get(id, fromAt, blockId, toMs, fromMs);
        return block === undefined ? { open: tail.all(id, toMs, fromMs) } : { block };
      })();
      if (step.block === undefined) {
        yield* minutes(doneMs, Math.min(toMs, startOfHour(step.open[0]?.fromAt ?? toMs)));
        for (const row of step.open) yield* open(station, row).filter(wanted);
        return;
      }
      [fromAt, blockId] = [step.block.fromAt, step.block.id];
      yield* minutes(doneMs, startOfHour(fromAt));
      yield* open(station, step.block).filter(wanted);
      doneMs = Math.max(fromMs, startOfHour(fromAt) + HOUR_MS);
    }
  }

  return {
    readings,
    latest: station => {
      const id = stationId.get(station);
      if (id === undefined) return null;
      const row = lastTail.get(id) ?? lastBlock.get(id);
      return row === undefined ? null : (open(station, row).at(-1) ?? null);
    },
  };
}
