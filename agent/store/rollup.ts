/**
 * Rollups: for each bucket of time and each channel how many values, their least, greatest and sum, as whole numbers
 * at the layout's step, so that adding buckets up is exact. Pure. Readings of bad quality never count; a bucket with
 * count 0 holds nothing at all and stays a gap.
 */
import { GIVEN, type ValueColumn } from './codec/column.ts';
import { isBad } from './codec/columns.ts';

export interface Level {
  /** Width of a bucket. */
  readonly stepMs: number;
  /** Width of one stored block of buckets. */
  readonly spanMs: number;
}

const DAY_MS = 86_400_000;
/** The finest there is. */
export const MINUTES: Level = { stepMs: 60_000, spanMs: DAY_MS };
/** Finest first. Blocks start at multiples of their span since the epoch (UTC days). */
export const LEVELS: readonly Level[] = [MINUTES, { stepMs: 900_000, spanMs: 16 * DAY_MS }];

export const slotsOf = (level: Level): number => level.spanMs / level.stepMs;

/** One channel over the buckets of a block. `min` and `max` mean something only where count > 0; empty, they are not wanted. */
export interface BucketColumn {
  count: Float64Array;
  min: Float64Array;
  max: Float64Array;
  sum: Float64Array;
}

/** Column i belongs to channel i of the layout it is kept with. */
export type Buckets = BucketColumn[];

export const emptyColumn = (slots: number): BucketColumn => ({
  count: new Float64Array(slots),
  min: new Float64Array(slots),
  max: new Float64Array(slots),
  sum: new Float64Array(slots),
});

/** Buckets that hold nothing any more. */
export function emptyOut(buckets: Buckets): void {
  for (const { count, sum } of buckets) {
    count.fill(0);
    sum.fill(0);
  }
}

function joinBucket(into: BucketColumn, slot: number, count: number, min: number, max: number, sum: number): void {
  if (count === 0) return;
  const had = into.count[slot]!;
  if (had === 0 || min < into.min[slot]!) into.min[slot] = min;
  if (had === 0 || max > into.max[slot]!) into.max[slot] = max;
  into.sum[slot] = into.sum[slot]! + sum;
  into.count[slot] = had + count;
}

/** Adds bucket `from` of another column to a bucket. */
export function addBucket(into: BucketColumn, slot: number, other: BucketColumn, from: number): void {
  joinBucket(into, slot, other.count[from]!, other.min[from]!, other.max[from]!, other.sum[from]!);
}

/** Of two states of the same buckets, each bucket that holds more values: buckets only ever grow. */
export function keepFuller(into: Buckets, other: Buckets): void {
  for (const [index, from] of other.entries()) {
    const column = into[index];
    if (column === undefined) into.push(from);
    else
      for (let slot = 0; slot < from.count.length; slot++) {
        if (from.count[slot]! <= column.count[slot]!) continue;
        column.count[slot] = column.sum[slot] = 0;
        addBucket(column, slot, from, slot);
      }
  }
}

/** Rows to be rolled up: of readings, or of a stored block. */
export interface Rows {
  count: number;
  at: Float64Array;
  flags: ArrayLike<number>;
  /** One for each bucket column; undefined: nothing to add there. */
  channels: readonly (ValueColumn | undefined)[];
}

/** Rows that follow each other and lie in one bucket: its place, the first row, the one behind the last; and so on. */
function runsOf({ count, at, flags }: Rows, stepMs: number, startAt: number, slots: number): number[] {
  const runs: number[] = [];
  let [open, endMs, firstMs] = [-1, 0, 0];
  for (let row = 0; row < count; row++) {
    const atMs = at[row]!;
    if (open >= 0 && atMs >= firstMs && atMs < endMs && !isBad(flags[row]!)) continue;
    if (open >= 0) runs.push(row);
    const slot = isBad(flags[row]!) ? -1 : Math.floor((atMs - startAt) / stepMs);
    open = slot >= 0 && slot < slots ? slot : -1;
    if (open < 0) continue;
    firstMs = startAt + slot * stepMs;
    endMs = firstMs + stepMs;
    runs.push(slot, row);
  }
  if (open >= 0) runs.push(count);
  return runs;
}

function addRun(column: BucketColumn, slot: number, rows: ValueColumn, from: number, to: number): void {
  const { kinds, values, given } = rows;
  const all = given === values.length;
  let count = 0;
  let sum = 0;
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  for (let row = from; row < to; row++) {
    if (!all && kinds[row] !== GIVEN) continue;
    const value = values[row]!;
    count++;
    sum += value;
    if (value < min) min = value;
    if (value > max) max = value;
  }
  joinBucket(column, slot, count, min, max, sum);
}

/** Adds those rows that lie in the buckets of `stepMs` from `startAt` on; not those of bad quality. */
export function addRows(buckets: readonly BucketColumn[], stepMs: number, startAt: number, rows: Rows): void {
  const runs = runsOf(rows, stepMs, startAt, buckets[0]?.count.length ?? 0);
  for (const [index, column] of buckets.entries()) {
    const values = rows.channels[index];
    if (values === undefined || values.given === 0) continue;
    for (let i = 0; i < runs.length; i += 3) addRun(column, runs[i]!, values, runs[i + 1]!, runs[i + 2]!);
  }
}

export const emptyBuckets = (channels: number, slots: number): Buckets =>
  Array.from({ length: channels }, () => emptyColumn(slots));

/** Adds finer buckets, from `fineAt` on, to the buckets of a level that start at `startAt`; grows them to as many channels. */
export function addFiner(
  into: Buckets,
  level: Level,
  startAt: number,
  fine: Buckets,
  fineStepMs: number,
  fineAt: number,
) {
  while (into.length < fine.length) into.push(emptyColumn(slotsOf(level)));
  for (const [index, from] of fine.entries()) {
    for (let slot = 0; slot < from.count.length; slot++) {
      const to = Math.floor((fineAt + slot * fineStepMs - startAt) / level.stepMs);
      addBucket(into[index]!, to, from, slot);
    }
  }
}
