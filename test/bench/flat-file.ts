/**
 * The floor of the record: whole numbers, row after row, in one file. Written with one flush a batch, read back by
 * position, and squeezed once as hard as a general compressor can.
 */
import { closeSync, fdatasyncSync, openSync, readSync, writeSync } from 'node:fs';
import { brotliCompressSync, constants } from 'node:zlib';
import { COLUMNS, storedRow } from './recorded-year.ts';

const ROW_BYTES = COLUMNS.length * 4;

export interface FlatFile {
  /** Appends the minutes [from, from + count) and waits until they are on the disk. */
  append(from: number, count: number): void;
  /** Min, mean and max of some columns over equal buckets of [from, to). */
  series(columns: readonly number[], from: number, to: number, buckets: number): Float64Array[];
  close(): void;
}

export function openFlatFile(path: string): FlatFile {
  const fd = openSync(path, 'w+');
  return {
    append(from, count) {
      const rows = new Int32Array(count * COLUMNS.length);
      for (let i = 0; i < count; i++) rows.set(storedRow(from + i), i * COLUMNS.length);
      writeSync(fd, new Uint8Array(rows.buffer), 0, rows.byteLength, from * ROW_BYTES);
      fdatasyncSync(fd);
    },
    series(columns, from, to, buckets) {
      const rows = new Int32Array((to - from) * COLUMNS.length);
      readSync(fd, new Uint8Array(rows.buffer), 0, rows.byteLength, from * ROW_BYTES);
      return columns.map(column => aggregate(rows, column, buckets));
    },
    close: () => closeSync(fd),
  };
}

function aggregate(rows: Int32Array, column: number, buckets: number): Float64Array {
  const count = rows.length / COLUMNS.length;
  const out = new Float64Array(buckets * 3);
  for (let bucket = 0; bucket < buckets; bucket++) {
    const first = Math.floor((bucket * count) / buckets);
    const past = Math.floor(((bucket + 1) * count) / buckets);
    let [min, max, sum] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0];
    for (let row = first; row < past; row++) {
      const value = rows[row * COLUMNS.length + column]!;
      if (value < min) min = value;
      if (value > max) max = value;
      sum += value;
    }
    out.set([min, sum / (past - first), max], bucket * 3);
  }
  return out;
}

/** Bytes a sample of the first `minutes`, column by column, differences as variable-length numbers, brotli 11. */
export function squeezedBytesPerSample(minutes: number): number {
  const bytes: number[] = [];
  const rows = Array.from({ length: minutes }, (_, minute) => storedRow(minute));
  COLUMNS.forEach((_, column) => {
    let last = 0;
    for (const row of rows) {
      const difference = row[column]! - last;
      last = row[column]!;
      let zigzag = difference < 0 ? -2 * difference - 1 : 2 * difference;
      for (; zigzag > 127; zigzag = Math.floor(zigzag / 128)) bytes.push((zigzag % 128) + 128);
      bytes.push(zigzag);
    }
  });
  const params = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length };
  return brotliCompressSync(Buffer.from(bytes), { params }).length / (minutes * COLUMNS.length);
}
