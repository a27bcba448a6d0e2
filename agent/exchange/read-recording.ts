/**
 * A recording's bytes or text to readings, in order: whole, or in batches from a stream of any length. A byte-order mark
 * before it is taken.
 */
import { finished } from 'node:stream/promises';
import { type CsvError, type Options, parse } from 'csv-parse';
import { parse as parseWhole } from 'csv-parse/sync';
import { WattkeepError } from '#kit';
import type { KeptReading } from '#messages';
import { type RecordingCounts, type RecordingIdentity, RowReader } from './rows.ts';

export type { RecordingCounts, RecordingIdentity } from './rows.ts';

export interface Recording {
  readings: KeptReading[];
  counts: RecordingCounts;
}

const ROW_MAX_BYTES = 64 * 1024;

/** What is made of rows as they are found: handing each on as an event of its own would take twice as long. */
class RecordingReader {
  /** Those not taken yet. */
  readings: KeptReading[] = [];
  readonly #identity: RecordingIdentity;
  #rows: RowReader | undefined;

  constructor(identity: RecordingIdentity) {
    this.#identity = identity;
  }

  options(): Options {
    return {
      bom: true,
      relax_column_count: true,
      skip_empty_lines: true,
      max_record_size: ROW_MAX_BYTES,
      // A row's line is where it ends; only a quoted line break could make it begin earlier.
      on_record: (row: string[], { lines }) => {
        if (this.#rows === undefined) this.#rows = new RowReader(row, lines, this.#identity);
        else this.readings.push(this.#rows.read(row, lines));
        return null;
      },
    };
  }

  /** Up to `most` of the readings that are there. */
  take(most: number): KeptReading[] {
    const taken = this.readings.slice(0, most);
    this.readings = this.readings.slice(most);
    return taken;
  }

  /** Of all that was read. Throws IMPORT_HEADER where that was nothing. */
  counts(): RecordingCounts {
    if (this.#rows !== undefined) return this.#rows.counts;
    throw new WattkeepError('IMPORT_HEADER', 'the file is empty', 'Give a file that begins with time,inputPowerW,….');
  }
}

/** csv-parse's own complaints (quotes that do not close, a row without end) carry the line they happened on. */
function asImportError(error: unknown): unknown {
  if (error instanceof WattkeepError || !(error instanceof Error) || !('code' in error)) return error;
  if (!String(error.code).startsWith('CSV_')) return error;
  const line = (error as CsvError).lines;
  return new WattkeepError(
    'IMPORT_ROW',
    `line ${typeof line === 'number' ? line : 'unknown'}: the row is no CSV (${error.message})`,
    'Save the file again as CSV with commas; a quote inside a cell is doubled.',
    { cause: error },
  );
}

/** Reads a whole recording. Throws IMPORT_HEADER or IMPORT_ROW. */
export function parseRecording(file: string | Uint8Array, identity: RecordingIdentity): Recording {
  const reader = new RecordingReader(identity);
  const input = typeof file === 'string' ? file : Buffer.from(file.buffer, file.byteOffset, file.byteLength);
  try {
    parseWhole(input, reader.options());
  } catch (error) {
    throw asImportError(error);
  }
  return { counts: reader.counts(), readings: reader.readings };
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
  const parser = parse(reader.options());
  // Told by `fed` and at the end; without anybody who listens it would end the process.
  parser.on('error', () => undefined);
  const fed = (piece: Uint8Array) =>
    new Promise<void>((resolve, reject) => parser.write(piece, error => (error ? reject(error) : resolve())));
  try {
    for await (const piece of source) {
      await fed(piece);
      while (reader.readings.length >= size) yield reader.take(size);
    }
    parser.end();
    await finished(parser.resume());
  } catch (error) {
    throw asImportError(error);
  }
  while (reader.readings.length > 0) yield reader.take(size);
  return reader.counts();
}
