/**
 * Rollups: for each bucket of time and each channel how many values, their least, greatest and sum, as whole numbers
 * at the layout's step, so that adding buckets up is exact. Pure. Readings of bad quality never count; a bucket with
 * count 0 holds nothing at all and stays a gap.
 */
import type { Reading } from '#kit';
import type { Layout } from './codec/layout.ts';

export interface Level {
  /** Width of a bucket. */
  readonly stepMs: number;
  /** Width of one stored block of buckets. */
  readonly spanMs: number;
}

const DAY_MS = 86_400_000;
/** Finest first. Blocks start at multiples of their span since the epoch (UTC days). */
export const LEVELS: readonly Level[] = [
  { stepMs: 60_000, spanMs: DAY_MS },
  { stepMs: 900_000, spanMs: 16 * DAY_MS },
];

/** One channel over the buckets of a block. `min` and `max` mean something only where count > 0. */
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

/** Adds one stored whole number to a bucket. */
export function addValue(column: BucketColumn, slot: number, value: number): void {
  const count = column.count[slot]!;
  if (count === 0 || value < column.min[slot]!) column.min[slot] = value;
  if (count === 0 || value > column.max[slot]!) column.max[slot] = value;
  column.sum[slot] = column.sum[slot]! + value;
  column.count[slot] = count + 1;
}

/** Adds bucket `from` of another column to a bucket. */
export function addBucket(into: BucketColumn, slot: number, other: BucketColumn, from: number): void {
  const count = other.count[from]!;
  if (count === 0) return;
  const had = into.count[slot]!;
  if (had === 0 || other.min[from]! < into.min[slot]!) into.min[slot] = other.min[from]!;
  if (had === 0 || other.max[from]! > into.max[slot]!) into.max[slot] = other.max[from]!;
  into.sum[slot] = into.sum[slot]! + other.sum[from]!;
  into.count[slot] = had + count;
}

/** Adds those readings that lie in the block starting at `startAt`; grows `buckets` to the layout's channels. */
export function addReadings(
  buckets: Buckets,
  layout: Layout,
  level: Level,
  startAt: number,
  readings: readonly Reading[],
): void {
  const slots = level.spanMs / level.stepMs;
  while (buckets.length < layout.channels.length) buckets.push(emptyColumn(slots));
  for (const reading of readings) {
    if (reading.quality === 'bad') continue;
    const slot = Math.floor((reading.at - startAt) / level.stepMs);
    if (slot < 0 || slot >= slots) continue;
    for (let index = 0; index < layout.channels.length; index++) {
      const { key, perUnit } = layout.channels[index]!;
      const value = reading.quantities[key];
      if (value !== null && value !== undefined) addValue(buckets[index]!, slot, Math.round(value * perUnit));
    }
  }
}
