/**
 * The rows of a batch that hold what a station's own counters said: days are added up like the totals, in the same
 * transaction, and of where a counter stood the later word counts. Energies are whole mJ, so sums are exact.
 */
import type { Batch, BridgedBlock, CountedDelta } from '#messages';
import type { Connection } from './connection.ts';
import { recordError } from './failure.ts';

// Numbers are bound as REAL; the cast keeps sums whole.
const ADD_COUNTED = `INSERT INTO counted (station, date, zone, quantity, startMs, endMs, countedMilliJ, comparedMilliJ,
    integratedMilliJ, flowMs, stretches, largestMilliJ, spreadWh2, lastMilliWh, lastAt, unchangedMs, stepMilliWh)
  VALUES (@id, @date, @zone, @quantity, @startMs, @endMs, cast(@countedMilliJ AS INT), cast(@comparedMilliJ AS INT),
    cast(@integratedMilliJ AS INT), cast(@flowMs AS INT), @stretches, cast(@largestMilliJ AS INT), @spreadWh2,
    cast(@lastMilliWh AS INT), @lastAt, @unchangedMs, cast(@stepMilliWh AS INT))
  ON CONFLICT (station, date, zone, quantity) DO UPDATE SET
    countedMilliJ = countedMilliJ + excluded.countedMilliJ,
    comparedMilliJ = comparedMilliJ + excluded.comparedMilliJ,
    integratedMilliJ = integratedMilliJ + excluded.integratedMilliJ,
    flowMs = flowMs + excluded.flowMs,
    stretches = stretches + excluded.stretches,
    largestMilliJ = max(largestMilliJ, excluded.largestMilliJ),
    spreadWh2 = spreadWh2 + excluded.spreadWh2,
    lastMilliWh = iif(excluded.lastAt >= lastAt, excluded.lastMilliWh, lastMilliWh),
    unchangedMs = iif(excluded.lastAt >= lastAt, excluded.unchangedMs, unchangedMs),
    stepMilliWh = iif(excluded.lastAt >= lastAt, excluded.stepMilliWh, stepMilliWh),
    lastAt = max(lastAt, excluded.lastAt)`;

const PUT_BRIDGE = `INSERT OR REPLACE INTO bridge (station, quantity, fromAt, toAt, milliJ, cause, gapMs, fromMilliWh,
    toMilliWh, stepMilliWh)
  VALUES (@id, @quantity, @fromAt, @toAt, cast(@milliJ AS INT), @cause, @gapMs, cast(@fromMilliWh AS INT),
    cast(@toMilliWh AS INT), cast(@stepMilliWh AS INT))`;

const WHOLE = ['startMs', 'endMs', 'countedMilliJ', 'comparedMilliJ', 'integratedMilliJ', 'lastMilliWh'] as const;

function requireWhole(delta: CountedDelta): void {
  for (const key of WHOLE)
    if (!Number.isSafeInteger(delta[key]))
      throw recordError(
        'INTERNAL',
        `station ${delta.station}: ${key} of ${delta.quantity} of ${delta.date} is ${delta[key]}, not whole`,
      );
}

/** The answer writes them; a station's readings must be in the batch, and where they were recorded already nothing is. */
export function prepareCounted(
  db: Connection,
): (
  batch: Pick<Batch, 'counted' | 'bridges'>,
  admitted: ReadonlyMap<string, 'fresh' | 'replayed'>,
  idOf: (name: string) => number,
) => void {
  const add = db.prepare(ADD_COUNTED);
  const put = db.prepare(PUT_BRIDGE);
  return ({ counted = [], bridges = [] }, admitted, idOf) => {
    const isFresh = (station: string): boolean => {
      const admission = admitted.get(station);
      if (admission === undefined)
        throw recordError('INTERNAL', `station ${station}: what its counters said came without its readings`);
      return admission === 'fresh';
    };
    for (const delta of counted) {
      requireWhole(delta);
      if (isFresh(delta.station)) add.run({ ...delta, id: idOf(delta.station) });
    }
    for (const block of bridges) if (isFresh(block.station)) put.run({ ...block, id: idOf(block.station) });
  };
}

/** The answer takes blocks of a station away that are counted anew. */
export function prepareRemoveBridges(
  db: Connection,
): (station: number, blocks: readonly Pick<BridgedBlock, 'quantity' | 'fromAt'>[]) => void {
  const remove = db.prepare('DELETE FROM bridge WHERE station = ? AND quantity = ? AND fromAt = ?');
  return (station, blocks) => {
    for (const { quantity, fromAt } of blocks) remove.run(station, quantity, fromAt);
  };
}
