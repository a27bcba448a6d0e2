/** Blocks as the first five schemas wrote them: deflated, the monotonic clock by its own differences. Only read since. */
import { crc32, deflateRawSync } from 'node:zlib';
import type { Reading } from '#kit';
import { fingerprint, unpackBlock } from '../../agent/store/codec/block.ts';
import { writeRuns, writeValues } from '../../agent/store/codec/column.ts';
import { columnsOf } from '../../agent/store/codec/columns.ts';
import type { Layout } from '../../agent/store/codec/layout.ts';
import { encodeBuckets } from '../../agent/store/codec/rollup.ts';
import { ByteWriter } from '../../agent/store/codec/varint.ts';
import type { Buckets } from '../../agent/store/rollup.ts';

function packed(content: Uint8Array, layout: Layout): Buffer {
  const head = Buffer.alloc(13);
  head[0] = 1;
  head.writeUInt32LE(fingerprint(layout.text), 5);
  head.writeUInt32LE(content.length, 9);
  const block = Buffer.concat([head, deflateRawSync(content)]);
  block.writeUInt32LE(crc32(block.subarray(5)), 1);
  return block;
}

export function readingsOfFormatOne(readings: readonly Reading[], layout: Layout): Buffer {
  const columns = columnsOf(readings, layout);
  const body = new ByteWriter();
  const part = (write: (writer: ByteWriter) => void) => {
    const writer = new ByteWriter();
    write(writer);
    body.part(writer.bytes());
  };
  body.unsigned(columns.count);
  body.unsigned(columns.words.length);
  for (const word of columns.words) body.part(Buffer.from(word, 'utf8'));
  part(writer => writer.deltas(columns.at));
  part(writer => writeRuns(writer, columns.flags));
  part(writer => writer.deltas(columns.seq));
  part(writer => writer.deltas(columns.monoMs));
  for (const words of [columns.session, columns.states, columns.reasons]) part(writer => writeRuns(writer, words));
  for (const channel of columns.channels) part(writer => writeValues(writer, channel));
  return packed(body.bytes(), layout);
}

export const bucketsOfFormatOne = (buckets: Buckets, layout: Layout): Buffer =>
  packed(unpackBlock(encodeBuckets(buckets, layout), layout.text), layout);
