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

/** Kept between blocks: the slots that hold something, their counts and their least values. */
let slots = new Uint32Array();
let least = new Float64Array();
let counts = new Float64Array();

/** @param columns by channel index; a channel that the block is too old for is left as it is. Throws CodecError. */
export function readBuckets(
  block: Uint8Array,
  layout: Layout,
  columns: readonly { readonly index: number; readonly column: BucketColumn }[],
  place: Place,
): void {
  const reader = new ByteReader(unpackBlock(block, layout.text));
  const count = reader.unsigned();
  if (count > SLOTS_MAX) throw new CodecError('the rollup says it holds too many buckets');
  if (slots.length < count)
    [slots, least, counts] = [new Uint32Array(count), new Float64Array(count), new Float64Array(count)];
  const parts = layout.channels.map(() => reader.part());
  for (const { index, column } of columns) {
    const part = parts[index];
    if (part !== undefined) readColumn(new ByteReader(part), count, column, place);
  }
}

function readColumn(reader: ByteReader, count: number, column: BucketColumn, { from, at, count: wanted }: Place): void {
  const shift = at - from;
  const end = from + wanted;
  let [filled, last] = [0, 0];
  for (let slot = 0; slot < count; slot++) {
    last += reader.signed();
    if (last <= 0) continue;
    slots[filled] = slot;
    counts[filled++] = last;
    if (slot >= from && slot < end) column.count[slot + shift] = last;
  }
  last = 0;
  for (let i = 0; i < filled; i++) {
    last += reader.signed();
    least[i] = last;
    const slot = slots[i]!;
    if (slot >= from && slot < end) column.min[slot + shift] = last;
  }
  last = 0;
  for (let i = 0; i < filled; i++) {
    last += reader.signed();
    const slot = slots[i]!;
    if (slot >= from && slot < end) column.max[slot + shift] = least[i]! + last;
  }
  last = 0;
  for (let i = 0; i < filled; i++) {
    last += reader.signed();
    const slot = slots[i]!;
    if (slot >= from && slot < end) column.sum[slot + shift] = least[i]! * counts[i]! + last;
  }
}
