/**
 * A station's own counters over a gap that older rows fill: the block that bridged it is taken back, and what the rows
 * tell takes its place: what belongs to days, and smaller blocks. Where the counters stood at both ends is kept with the
 * block, so that nothing else need be read again; recorded readings between them that lack the counter count as gap.
 */
import { COUNTER_NAMES, type Quantities, type Reading } from '#kit';
import type { BridgedBlock } from '#messages';
import { type CountedAddition, type CounterEnd, emptyCounted } from '../derive/counted.ts';
import { asMilliWh, stepWith } from '../derive/counter.ts';
import { dayShares } from '../derive/day-shares.ts';
import type { OpenedRecord } from '../store/open.ts';
import type { Hole } from './older-rows.ts';

export interface CountersAround {
  /** Blocks over the gap, to be taken back. */
  blocks: BridgedBlock[];
  /** Where the counters stood before the rows. */
  starts: CounterEnd[];
  /** What they stand at after the rows, in order of time: each is to be counted to. */
  ends: Reading[];
  /** Steps over a gap too short for a block, which its days hold already: less by them. */
  takenBack: CountedAddition[];
}

/** What a counter stood at, as a reading that nothing was recorded beside. */
const standing = (station: string, at: number, seq: number, quantities: Quantities): Reading => ({
  station,
  session: '-',
  seq,
  monoMs: seq,
  at,
  clock: 'unknown',
  quantities,
  states: {},
  quality: 'good',
  reasons: {},
});

const lastAt = (record: OpenedRecord, station: string, at: number): Reading | undefined =>
  [...record.readings(station, at, at + 1)].at(-1);

export function countersAround({ fromMs, toMs }: Hole, record: OpenedRecord, station: string): CountersAround {
  const blocks = fromMs === null ? [] : record.bridges(station, fromMs, toMs);
  const before = fromMs === null ? undefined : lastAt(record, station, fromMs);
  const after = lastAt(record, station, toMs);
  const starts: CounterEnd[] = [];
  const takenBack: CountedAddition[] = [];
  const stands = new Map<number, Quantities>();
  const put = (at: number, values: Quantities) => void stands.set(at, { ...stands.get(at), ...values });
  for (const quantity of COUNTER_NAMES) {
    const block = blocks.find(one => one.quantity === quantity);
    const [first, next] = [before?.quantities[quantity], after?.quantities[quantity]];
    if (block !== undefined) {
      const { fromMilliWh: lastMilliWh, stepMilliWh } = block;
      starts.push({ quantity, lastMilliWh, lastAt: block.fromAt, unchangedMs: 0, stepMilliWh });
      put(block.toAt, { [quantity]: block.toMilliWh / 1000 });
      continue;
    }
    if (typeof first === 'number' && fromMs !== null && before?.quality !== 'bad') {
      const lastMilliWh = asMilliWh(first);
      starts.push({ quantity, lastMilliWh, lastAt: fromMs, unchangedMs: 0, stepMilliWh: stepWith(0, lastMilliWh) });
    }
    if (typeof next === 'number' && after?.quality !== 'bad') {
      put(toMs, { [quantity]: next });
      if (starts.at(-1)?.quantity === quantity)
        takenBack.push(...lessStep(record, station, starts.at(-1)!, { at: toMs, milliWh: asMilliWh(next) }));
    }
  }
  // Told twice: what cannot follow is doubted at first, and settled by the second.
  const ends = [...stands.entries()]
    .sort(([a], [b]) => a - b)
    .flatMap(([at, values], i) => [1, 2].map(time => standing(station, at, 2 * i + time, values)));
  return { blocks, starts, ends, takenBack };
}

const MILLIJ_PER_MILLI_WH = 3600;
const DAY_MS = 86_400_000;

/** The step between two recorded values, off the days that hold it; nothing where what they counted is not kept. */
function lessStep(
  record: OpenedRecord,
  station: string,
  end: CounterEnd,
  to: { at: number; milliWh: number },
): CountedAddition[] {
  const { quantity, lastMilliWh, lastAt: fromAt } = end;
  const dates = [fromAt - DAY_MS, to.at + DAY_MS].map(at => new Date(at).toISOString().slice(0, 10));
  const days = record.counted(station, dates[0]!, dates[1]!).filter(day => day.quantity === quantity);
  const dayOf = (at: number) => days.find(day => at >= day.startMs && at < day.endMs);
  const milliWh = to.milliWh - lastMilliWh;
  if (milliWh <= 0 || dayOf(fromAt) === undefined || (dayOf(to.at)?.lastAt ?? 0) < to.at) return [];
  const { days: touched, share } = dayShares(fromAt, to.at, at => dayOf(at) ?? dayOf(to.at)!);
  const shares = share(-milliWh * MILLIJ_PER_MILLI_WH);
  return touched.map((day, i) => ({ ...emptyCounted(day, { ...end, lastAt: 0 }), countedMilliJ: shares[i]! }));
}
