/** When readings were recorded, block by block and nothing else of them: for finding the gaps of years. */
import { openBlock } from '../codec/rows.ts';
import type { Connection } from '../kept.ts';
import type { LayoutShelf } from '../shelf.ts';

interface BlockRow {
  id: number;
  fromAt: number;
  layout: number;
  body: Buffer;
}

/**
 * The answer gives the instants (UTC epoch ms) of each block that reaches into [fromMs, toMs], in order, with the block
 * before and the one after. No statement stays open between two of them.
 */
export function prepareInstants(
  db: Connection,
  shelf: LayoutShelf,
): (station: string, fromMs: number, toMs: number) => Generator<Float64Array> {
  const stationId = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  const before = db
    .prepare<[number, number], number>(
      'SELECT fromAt FROM blk WHERE station = ? AND fromAt < ? ORDER BY fromAt DESC LIMIT 1',
    )
    .pluck();
  const next = db.prepare<[number, number, number], BlockRow>(
    'SELECT id, fromAt, layout, body FROM blk WHERE station = ? AND (fromAt, id) > (?, ?) ORDER BY fromAt, id LIMIT 1',
  );
  const tail = db.prepare<[number], Omit<BlockRow, 'id' | 'fromAt'>>(
    'SELECT layout, body FROM tail WHERE station = ? ORDER BY id',
  );
  return function* instants(station, fromMs, toMs) {
    const id = stationId.get(station);
    if (id === undefined) return;
    let [fromAt, blockId] = [before.get(id, fromMs) ?? Number.NEGATIVE_INFINITY, -1];
    while (fromAt <= toMs) {
      const block = next.get(id, fromAt, blockId);
      if (block === undefined) {
        for (const row of tail.all(id)) yield openBlock(row.body, shelf.byId(row.layout)).at();
        return;
      }
      [fromAt, blockId] = [block.fromAt, block.id];
      yield openBlock(block.body, shelf.byId(block.layout)).at();
    }
  };
}
