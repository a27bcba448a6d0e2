/**
 * One column of a block as bytes. Measured values move little from row to row, so their differences are stored; words
 * and flags hardly change, so runs are stored. A value column first says row by row (as runs) whether the source told
 * the quantity at all, told that it is missing, or gave a number.
 */
import { ByteReader, type ByteWriter, CodecError } from './varint.ts';

export const ABSENT = 0;
export const MISSING = 1;
export const GIVEN = 2;

/** Rows a block may hold: an hour at the fastest accepted rate, 50 a second. */
export const ROWS_MAX = 180_000;

export function readDeltas(reader: ByteReader, count: number): Float64Array {
  const values = new Float64Array(count);
  reader.deltas(values);
  return values;
}

/** Pairs of (value, how many rows it holds); values are small whole numbers. */
export function writeRuns(writer: ByteWriter, values: ArrayLike<number>): void {
  let start = 0;
  while (start < values.length) {
    let end = start + 1;
    while (end < values.length && values[end] === values[start]) end++;
    writer.unsigned(values[start]!);
    writer.unsigned(end - start);
    start = end;
  }
}

export function readRuns(reader: ByteReader, count: number): Uint32Array {
  const values = new Uint32Array(count);
  eachRun(reader, count, (value, from, to) => values.fill(value, from, to));
  return values;
}

function eachRun(reader: ByteReader, count: number, take: (value: number, from: number, to: number) => void): void {
  let row = 0;
  while (row < count) {
    const value = reader.unsigned();
    const run = reader.unsigned();
    if (run === 0 || run > count - row || value > 0xffff_ffff) throw new CodecError('a run in the block does not fit');
    take(value, row, row + run);
    row += run;
  }
}

/** A quantity over the rows of a block: `kinds` says what each row told; `values` means something only where GIVEN. */
export interface ValueColumn {
  kinds: Uint8Array;
  values: Float64Array;
  /** Rows that are GIVEN. */
  given: number;
}

/** The values that were given, in order. */
function givenOf({ kinds, values, given }: ValueColumn): Float64Array {
  if (given === values.length) return values;
  const found = new Float64Array(given);
  let place = 0;
  for (let row = 0; row < values.length; row++) if (kinds[row] === GIVEN) found[place++] = values[row]!;
  return found;
}

/** Throws RangeError for a value that cannot be stored. */
export function writeValues(writer: ByteWriter, column: ValueColumn): void {
  const { kinds, given, values } = column;
  if (given === values.length && given > 0) {
    writer.unsigned(GIVEN);
    writer.unsigned(given);
  } else writeRuns(writer, kinds);
  writer.deltas(givenOf(column));
}

export function decodeValues(bytes: Uint8Array, count: number): ValueColumn {
  const reader = new ByteReader(bytes);
  const kinds = new Uint8Array(count);
  let given = 0;
  eachRun(reader, count, (kind, from, to) => {
    kinds.fill(kind, from, to);
    if (kind === GIVEN) given += to - from;
  });
  const found = readDeltas(reader, given);
  if (given === count) return { kinds, values: found, given };
  const values = new Float64Array(count);
  for (let row = 0, place = 0; row < count; row++) if (kinds[row] === GIVEN) values[row] = found[place++]!;
  return { kinds, values, given };
}
