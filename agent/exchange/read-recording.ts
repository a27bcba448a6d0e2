/**
 * A recording's bytes or text to readings, in order: whole, or in batches from a stream of any length. A byte-order mark
 * before it is taken.
 */
import { StringDecoder } from 'node:string_decoder';
import { WattkeepError } from '#kit';
import type { KeptReading } from '#messages';
import { CsvReader } from './csv.ts';
import { type RecordingCounts, type RecordingIdentity, RowReader } from './rows.ts';

export type { RecordingCounts, RecordingIdentity } from './rows.ts';

export interface Recording {
  readings: KeptReading[];
  counts: RecordingCounts;
}

/** Text as it comes in, to readings. */
class RecordingReader {
  readonly #csv = new CsvReader();
  readonly #identity: RecordingIdentity;
  #rows: RowReader | undefined;
  #hasBegun = false;

  constructor(identity: RecordingIdentity) {
    this.#identity = identity;
  }

  add(text: string): void {
    const marked = !this.#hasBegun && text.startsWith('\ufeff');
    if (text !== '') this.#hasBegun = true;
    this.#csv.add(marked ? text.slice(1) : text);
  }

  /** The readings of what was added, up to `most`; fewer where it holds no more. Throws IMPORT_HEADER or IMPORT_ROW. */
  take(isLast: boolean, most: number): KeptReading[] {
    const readings: KeptReading[] = [];
    while (readings.length < most) {
      const row = this.#csv.next(isLast);
      if (row === null) break;
      if (this.#rows === undefined) this.#rows = new RowReader(row.cells, row.line, this.#identity);
      else readings.push(this.#rows.read(row.cells, row.line));
    }
    return readings;
  }

  /** Of all that was taken. Throws IMPORT_HEADER where that was nothing. */
  counts(): RecordingCounts {
    if (this.#rows !== undefined) return this.#rows.counts;
    throw new WattkeepError('IMPORT_HEADER', 'the file is empty', 'Give a file that begins with time,inputPowerW,….');
  }
}

/** Reads a whole recording. Throws IMPORT_HEADER or IMPORT_ROW. */
export function parseRecording(file: string | Uint8Array, identity: RecordingIdentity): Recording {
  const reader = new RecordingReader(identity);
  reader.add(typeof file === 'string' ? file : Buffer.from(file.buffer, file.byteOffset, file.byteLength).toString());
  const readings = reader.take(true, Number.POSITIVE_INFINITY);
  return { readings, counts: reader.counts() };
}

/**
 * Reads a recording piece by piece, giving batches of at most `size` readings; its return value are the counts. Throws
 * IMPORT_HEADER, IMPORT_ROW or what the source throws. A dry run is the same with the batches thrown away.
 */
export async function* readRecording(
  source: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  identity: RecordingIdentity,
  size = 5000,
): AsyncGenerator<KeptReading[], RecordingCounts> {
  const reader = new RecordingReader(identity);
  const decoder = new StringDecoder('utf8');
  for await (const piece of source) {
    reader.add(decoder.write(piece));
    yield* batches(reader, false, size);
  }
  reader.add(decoder.end());
  yield* batches(reader, true, size);
  return reader.counts();
}

function* batches(reader: RecordingReader, isLast: boolean, size: number): Generator<KeptReading[]> {
  for (;;) {
    const batch = reader.take(isLast, size);
    if (batch.length > 0) yield batch;
    if (batch.length < size) return;
  }
}
