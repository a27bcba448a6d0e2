/**
 * What readings tell of, block by block, none of their values opened: the columns of a file of them are learned twenty
 * times as fast as by reading it. No statement stays open between two steps.
 */
import type { QuantityKey } from '#kit';
import type { KeptReading, Told } from '#messages';
import { openBlock } from '../codec/rows.ts';
import type { Connection } from '../connection.ts';
import type { LayoutShelf } from '../shelf.ts';

const LETS_GO_SINCE_SCHEMA = 7;
const HOUR_MS = 3_600_000;

interface BlockRow {
  id: number;
  fromAt: number;
  layout: number;
  body: Buffer;
}

/** @param readings what is left of a time from which readings were let go is read as it is: minutes, and evidence */
export function prepareTold(
  db: Connection,
  shelf: LayoutShelf,
  readings: (station: string, fromMs: number, toMs: number) => Iterable<KeptReading>,
): (station: string, fromMs: number, toMs: number) => Generator<Told> {
  const letsGo = Number(db.pragma('user_version', { simple: true })) >= LETS_GO_SINCE_SCHEMA;
  const stationId = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  const beforeMs = letsGo ? db.prepare<[number], number>('SELECT beforeMs FROM letGo WHERE station = ?').pluck() : null;
  const nextBlock = db.prepare<[number, number, number, number, number], BlockRow>(`
    SELECT id, fromAt, layout, body FROM blk
    WHERE station = ? AND (fromAt, id) > (?, ?) AND fromAt < ? AND toAt >= ? ORDER BY fromAt, id LIMIT 1`);
  const tail = db.prepare<[number, number, number], Omit<BlockRow, 'id' | 'fromAt'>>(
    'SELECT layout, body FROM tail WHERE station = ? AND fromAt < ? AND toAt >= ?',
  );
  const open = ({ layout, body }: Pick<BlockRow, 'layout' | 'body'>) => openBlock(body, shelf.byId(layout));

  return function* told(station, fromMs, toMs) {
    const id = stationId.get(station);
    if (id === undefined) return;
    const wholeFromMs = Math.min(toMs, Math.max(fromMs, beforeMs?.get(id) ?? fromMs));
    for (const reading of readings(station, fromMs, wholeFromMs))
      yield {
        quantities: Object.keys(reading.quantities) as QuantityKey[],
        words: [reading],
        sessions: [reading.session],
      };
    let [fromAt, blockId] = [wholeFromMs - HOUR_MS, 0];
    for (;;) {
      const block = nextBlock.get(id, fromAt, blockId, toMs, wholeFromMs);
      if (block === undefined) break;
      [fromAt, blockId] = [block.fromAt, block.id];
      yield open(block).told(wholeFromMs, toMs);
    }
    for (const row of tail.all(id, toMs, wholeFromMs)) yield open(row).told(wholeFromMs, toMs);
  };
}
