/**
 * When readings were recorded, block by block and nothing else of them: for finding the gaps of years. Of a minute whose
 * readings are there no more, its first and its last instant.
 */
import { openBlock } from '../codec/rows.ts';
import type { Connection } from '../kept.ts';
import { MINUTES } from '../rollup.ts';
import type { LayoutShelf } from '../shelf.ts';
import type { OnlyMinutes } from './only-minutes.ts';

const HOUR_MS = 3_600_000;
const startOfHour = (at: number): number => Math.floor(at / HOUR_MS) * HOUR_MS;

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
  onlyMinutes: OnlyMinutes,
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
  const tail = db.prepare<[number], Omit<BlockRow, 'id'>>(
    'SELECT fromAt, layout, body FROM tail WHERE station = ? ORDER BY id',
  );
  // The day with a minute before an instant may be the second one back: its own may begin later.
  const dayBefore = db
    .prepare<[number, number, number], number>(
      'SELECT startAt FROM rb WHERE station = ? AND stepMs = ? AND startAt <= ? ORDER BY startAt DESC LIMIT 1 OFFSET 1',
    )
    .pluck();
  const dayAfter = db
    .prepare<[number, number, number], number>(
      'SELECT startAt FROM rb WHERE station = ? AND stepMs = ? AND startAt > ? ORDER BY startAt LIMIT 1',
    )
    .pluck();
  const { stepMs, spanMs } = MINUTES;

  function* minutes(id: number, fromMs: number, toMs: number): Generator<Float64Array> {
    if (fromMs >= toMs) return;
    for (const { startAt, slots } of onlyMinutes.days(id, fromMs, toMs))
      yield Float64Array.from(slots.flatMap(slot => [startAt + slot * stepMs, startAt + (slot + 1) * stepMs - 1]));
  }

  return function* instants(station, fromMs, toMs) {
    const id = stationId.get(station);
    if (id === undefined) return;
    let doneMs = dayBefore.get(id, stepMs, fromMs) ?? Number.MIN_SAFE_INTEGER;
    const minutesEndMs = (dayAfter.get(id, stepMs, toMs) ?? toMs) + spanMs;
    let [fromAt, blockId] = [before.get(id, fromMs) ?? Number.NEGATIVE_INFINITY, -1];
    while (fromAt <= toMs) {
      const block = next.get(id, fromAt, blockId);
      if (block === undefined) {
        const open = tail.all(id);
        yield* minutes(id, doneMs, Math.min(minutesEndMs, startOfHour(open[0]?.fromAt ?? minutesEndMs)));
        for (const row of open) yield openBlock(row.body, shelf.byId(row.layout)).at();
        return;
      }
      [fromAt, blockId] = [block.fromAt, block.id];
      yield* minutes(id, doneMs, Math.min(minutesEndMs, startOfHour(fromAt)));
      yield openBlock(block.body, shelf.byId(block.layout)).at();
      doneMs = Math.max(doneMs, startOfHour(fromAt) + HOUR_MS);
    }
  };
}
