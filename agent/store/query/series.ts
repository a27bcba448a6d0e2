/**
 * Curves for a chart: least, mean and greatest per bucket from the coarsest level that serves; the hour still open is
 * always read as it is. A bucket without a usable value is null in all three. Work is bounded by the points asked for.
 */
import type { QuantityKey } from '#kit';
import type { Series, SeriesColumn, SeriesRequest } from '#messages';
import type { Layout } from '../codec/layout.ts';
import { decodeBuckets } from '../codec/rollup.ts';
import { readBuckets } from '../codec/rollup-into.ts';
import { openBlock } from '../codec/rows.ts';
import type { Connection } from '../connection.ts';
import { addBucket, addRows, type BucketColumn, emptyColumn, type Level, MINUTES } from '../rollup.ts';
import type { LayoutShelf } from '../shelf.ts';
import type { OnlyMinutes } from './only-minutes.ts';
import { planSeries, type SeriesPlan } from './steps.ts';

const HOUR_MS = 3_600_000;

interface BlockRow {
  layout: number;
  body: Buffer;
}

export interface Gathered {
  key: QuantityKey;
  column: BucketColumn;
  perUnit: number;
  /** The station told it once at least. */
  isKnown: boolean;
}

const indexOf = (layout: Layout, key: QuantityKey): number => layout.channels.findIndex(c => c.key === key);

function addBlock(gathered: readonly Gathered[], plan: SeriesPlan, body: Buffer, layout: Layout): void {
  const block = openBlock(body, layout);
  const channels = gathered.map(({ key }) => block.channel(indexOf(layout, key)));
  const rows = { count: block.count, at: block.at(), flags: block.flags(), channels };
  addRows(
    gathered.map(({ column }) => column),
    plan.stepMs,
    plan.startMs,
    rows,
  );
}

function addRollup(
  gathered: readonly Gathered[],
  plan: SeriesPlan,
  level: Level,
  startAt: number,
  body: Buffer,
  layout: Layout,
): void {
  const slots = level.spanMs / level.stepMs;
  const firstSlot = Math.max(0, Math.ceil((plan.startMs - startAt) / level.stepMs));
  if (plan.stepMs === level.stepMs && (plan.startMs - startAt) % level.stepMs === 0) {
    // Buckets as they are stored: each block brings its own, and nothing is added up.
    const at = (startAt + firstSlot * level.stepMs - plan.startMs) / level.stepMs;
    const place = { from: firstSlot, at, count: Math.min(slots - firstSlot, plan.count - at) };
    const wanted = gathered.map(({ key, column }) => ({ index: indexOf(layout, key), column }));
    readBuckets(body, layout, wanted, place);
    return;
  }
  const columns = decodeBuckets(
    body,
    layout,
    gathered.map(({ key }) => indexOf(layout, key)),
  );
  for (const [index, from] of columns.entries()) {
    if (from === undefined) continue;
    const { column } = gathered[index]!;
    const { count } = from;
    for (let slot = firstSlot; slot < slots; slot++) {
      if (count[slot] === 0) continue;
      const bucket = Math.floor((startAt + slot * level.stepMs - plan.startMs) / plan.stepMs);
      if (bucket >= plan.count) break;
      addBucket(column, bucket, from, slot);
    }
  }
}

function toColumn({ column, perUnit }: Gathered): SeriesColumn {
  const { count, min, max, sum } = column;
  // Of their full length at once: growing them takes longer than all the rest.
  const room = () => new Array<number | null>(count.length);
  const told: SeriesColumn = { min: room(), mean: room(), max: room() };
  for (let slot = 0; slot < count.length; slot++) {
    const isEmpty = count[slot] === 0;
    told.min[slot] = isEmpty ? null : min[slot]! / perUnit;
    told.mean[slot] = isEmpty ? null : sum[slot]! / count[slot]! / perUnit;
    told.max[slot] = isEmpty ? null : max[slot]! / perUnit;
  }
  return told;
}

/** Buckets of a stretch by the coarsest level that serves, as they are stored; what a new column has no room for is left out. */
export type Gather = (
  station: string,
  quantities: readonly QuantityKey[],
  plan: SeriesPlan,
  newColumn?: (slots: number, isKnown: boolean) => BucketColumn,
) => Gathered[];

/**
 * Rows are fetched at once, which the plan bounds: the library's iterator ends the process on Node 24 when it is
 * collected as garbage. Prepares the statements once; the answer may throw CodecError.
 */
export function prepareGather(db: Connection, shelf: LayoutShelf): Gather {
  const station = db.prepare<[string], { id: number; layout: number }>('SELECT id, layout FROM station WHERE name = ?');
  const blocks = db.prepare<[number, number, number, number], BlockRow>(
    'SELECT layout, body FROM blk WHERE station = ? AND fromAt > ? AND fromAt < ? AND toAt >= ? ORDER BY fromAt, id',
  );
  const rollups = db.prepare<[number, number, number, number], BlockRow & { startAt: number }>(
    'SELECT startAt, layout, body FROM rb WHERE station = ? AND stepMs = ? AND startAt > ? AND startAt < ?',
  );
  const tail = db.prepare<[number, number, number], BlockRow>(
    'SELECT layout, body FROM tail WHERE station = ? AND fromAt < ? AND toAt >= ?',
  );

  const gather = (id: number, plan: SeriesPlan, gathered: readonly Gathered[]) => {
    const { startMs, level } = plan;
    const endMs = startMs + plan.count * plan.stepMs;
    if (level === null) {
      for (const row of blocks.all(id, startMs - HOUR_MS, endMs, startMs)) {
        addBlock(gathered, plan, row.body, shelf.byId(row.layout));
      }
    } else {
      for (const row of rollups.all(id, level.stepMs, startMs - level.spanMs, endMs)) {
        addRollup(gathered, plan, level, row.startAt, row.body, shelf.byId(row.layout));
      }
    }
    for (const row of tail.all(id, endMs, startMs)) addBlock(gathered, plan, row.body, shelf.byId(row.layout));
  };

  return (name, quantities, plan, newColumn = emptyColumn) => {
    const found = station.get(name);
    const layout = found === undefined ? undefined : shelf.byId(found.layout);
    const gathered = quantities.map(key => {
      const channel = layout?.channels.find(c => c.key === key);
      const column = newColumn(plan.count, channel !== undefined);
      return { key, column, perUnit: channel?.perUnit ?? 1, isKnown: channel !== undefined };
    });
    const known = gathered.filter(({ isKnown }) => isKnown);
    // One transaction: an hour sealed by another process between two statements would be seen twice or not at all.
    if (found !== undefined) db.transaction(() => gather(found.id, plan, known))();
    return gathered;
  };
}

/** The answer may throw REQUEST_INVALID or CodecError. */
export function prepareSeries(
  db: Connection,
  gather: Gather,
  onlyMinutes: OnlyMinutes,
): (request: SeriesRequest) => Series {
  const stationId = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  // In one transaction: another process may let readings go between the plan and what it is answered from.
  return db.transaction(({ station, quantities, fromMs, toMs, points }: SeriesRequest): Series => {
    let plan = planSeries(fromMs, toMs, points);
    const id = stationId.get(station);
    // The minute that goes on where the question begins counts with those that begin in it.
    const firstMinuteAt = Math.floor(plan.startMs / MINUTES.stepMs) * MINUTES.stepMs;
    // Where minutes are all there is, all of the answer is by the minute: buckets between them would be false gaps.
    if (
      plan.level === null &&
      id !== undefined &&
      onlyMinutes.any(id, firstMinuteAt, plan.startMs + plan.count * plan.stepMs)
    )
      plan = planSeries(fromMs, toMs, points, MINUTES.stepMs);
    const { startMs, stepMs, count } = plan;
    const gathered = gather(station, quantities, plan);
    return { startMs, stepMs, count, columns: Object.fromEntries(gathered.map(g => [g.key, toColumn(g)])) };
  });
}
