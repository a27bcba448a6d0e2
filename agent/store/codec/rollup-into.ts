/**
 * Reads a block of rollup buckets straight into columns that are already there, for whoever goes through months: nothing
 * is made and thrown away for each day. The bytes are those of `rollup.ts`.
 */
import type { BucketColumn } from '../rollup.ts';
import { unpackBlock } from './block.ts';
import type { Layout } from './layout.ts';
import { ByteReader, CodecError } from './varint.ts';

const SLOTS_MAX = 100_000;

/** Where a block's buckets come to lie: bucket `from + i` of the block becomes bucket `at + i`, for `count` of them. */
export interface Place {
  readonly from: number;
  readonly at: number;
  readonly count: number;
}

/** Kept between blocks: the slots that hold something, and numbers by slot or by what is filled. */
let slots = new Uint32Array();
let counts = new Float64Array();
let least = new Float64Array();
let further = new Float64Array();

/**
 * @param columns by channel index; a channel that the block is too old for is left as it is. Least or greatest values are
 *   left out where the column has no room for them. Throws CodecError.
 */
export function readBuckets(
  block: Uint8Array,
  layout: Layout,
  columns: readonly { readonly index: number; readonly column: BucketColumn }[],
  place: Place,
): void {
  const reader = new ByteReader(unpackBlock(block, layout.text));
  const count = reader.unsigned();
  if (count > SLOTS_MAX) throw new CodecError('the rollup says it holds too many buckets');
  if (slots.length < count) {
    slots = new Uint32Array(count);
    [counts, least, further] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)];
  }
  const parts = layout.channels.map(() => reader.part());
  for (const { index, column } of columns) {
    const part = parts[index];
    if (part !== undefined) readColumn(new ByteReader(part), count, column, place);
  }
}

function readColumn(reader: ByteReader, count: number, column: BucketColumn, { from, at, count: wanted }: Place): void {
  const shift = at - from;
  const end = from + wanted;
  reader.deltas(counts.subarray(0, count));
  let filled = 0;
  for (let slot = 0; slot < count; slot++) {
    const values = counts[slot]!;
    if (values <= 0) continue;
    slots[filled] = slot;
    counts[filled++] = values;
    if (slot >= from && slot < end) column.count[slot + shift] = values;
  }
  reader.deltas(least.subarray(0, filled));
  const beyond = further.subarray(0, filled);
  reader.deltas(beyond);
  if (column.min.length > 0 || column.max.length > 0)
    for (let i = 0; i < filled; i++) {
      const slot = slots[i]!;
      if (slot < from || slot >= end) continue;
      if (column.min.length > 0) column.min[slot + shift] = least[i]!;
      if (column.max.length > 0) column.max[slot + shift] = least[i]! + beyond[i]!;
    }
  reader.deltas(beyond);
  for (let i = 0; i < filled; i++) {
    const slot = slots[i]!;
    if (slot >= from && slot < end) column.sum[slot + shift] = least[i]! * counts[i]! + beyond[i]!;
  }
}
