/**
 * A block of rollup buckets as bytes. Counts are dense (mostly constant, so they deflate to nothing); the rest only
 * where the count is above zero, as least value, spread above it and sum above count times it: all small.
 */
import { type BucketColumn, type Buckets, emptyColumn } from '../rollup.ts';
import { packBlock, unpackBlock } from './block.ts';
import { readDeltas } from './column.ts';
import type { Layout } from './layout.ts';
import { ByteReader, ByteWriter, CodecError } from './varint.ts';

const SLOTS_MAX = 100_000;

/** Places of the buckets that hold something. */
function filledOf(count: Float64Array): Uint32Array {
  let filled = 0;
  for (let slot = 0; slot < count.length; slot++) if (count[slot]! > 0) filled++;
  const slots = new Uint32Array(filled);
  for (let slot = 0, place = 0; place < filled; slot++) if (count[slot]! > 0) slots[place++] = slot;
  return slots;
}

function encodeColumn({ count, min, max, sum }: BucketColumn): Uint8Array {
  const writer = new ByteWriter(count.length * 4);
  const filled = filledOf(count);
  const values = new Float64Array(filled.length);
  writer.deltas(count);
  for (let i = 0; i < filled.length; i++) values[i] = min[filled[i]!]!;
  writer.deltas(values);
  for (let i = 0; i < filled.length; i++) values[i] = max[filled[i]!]! - min[filled[i]!]!;
  writer.deltas(values);
  for (let i = 0; i < filled.length; i++) values[i] = sum[filled[i]!]! - count[filled[i]!]! * min[filled[i]!]!;
  writer.deltas(values);
  return writer.bytes();
}

function decodeColumn(bytes: Uint8Array, slots: number): BucketColumn {
  const reader = new ByteReader(bytes);
  const column = emptyColumn(slots);
  column.count.set(readDeltas(reader, slots));
  const filled = filledOf(column.count);
  const [min, spread, excess] = [0, 1, 2].map(() => readDeltas(reader, filled.length));
  for (let i = 0; i < filled.length; i++) {
    const slot = filled[i]!;
    column.min[slot] = min![i]!;
    column.max[slot] = min![i]! + spread![i]!;
    column.sum[slot] = min![i]! * column.count[slot]! + excess![i]!;
  }
  return column;
}

export function encodeBuckets(buckets: Buckets, layout: Layout): Buffer {
  if (buckets.length !== layout.channels.length) throw new RangeError('a rollup does not fit its layout');
  const slots = buckets[0]?.count.length ?? 0;
  const writer = new ByteWriter(slots * 8);
  writer.unsigned(slots);
  for (const column of buckets) writer.part(encodeColumn(column));
  return packBlock(writer.bytes(), layout.text);
}

/** The columns asked for by channel index; undefined where the block is older than that channel. Throws CodecError. */
export function decodeBuckets(
  block: Uint8Array,
  layout: Layout,
  indexes: readonly number[],
): (BucketColumn | undefined)[] {
  const reader = new ByteReader(unpackBlock(block, layout.text));
  const slots = reader.unsigned();
  if (slots > SLOTS_MAX) throw new CodecError('the rollup says it holds too many buckets');
  const parts = layout.channels.map(() => reader.part());
  return indexes.map(index => {
    const part = parts[index];
    return part === undefined ? undefined : decodeColumn(part, slots);
  });
}
