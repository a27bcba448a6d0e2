/**
 * A recording's bytes or text to readings, in order: whole, or in batches from a stream of any length. RFC 4180 with
 * the usual slack: a byte-order mark, line feeds alone, empty lines.
 */
import { Readable } from 'node:stream';
import { type CsvError, type InfoRecord, type Options, parse } from 'csv-parse';
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
const OPTIONS: Options = {
  bom: true,
  info: true,
  relax_column_count: true,
  skip_empty_lines: true,
  max_record_size: ROW_MAX_BYTES,
};

interface Row {
  record: string[];
  info: InfoRecord;
}

const emptyFile = () =>
  new WattkeepError('IMPORT_HEADER', 'the file is empty', 'Give a file that begins with time,inputPowerW,….');

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

/** A row's line is where it ends; only a quoted line break could make it begin earlier. */
const lineOf = (row: Row): number => row.info.lines;

/** Reads a whole recording. Throws IMPORT_HEADER or IMPORT_ROW. */
export function parseRecording(file: string | Uint8Array, identity: RecordingIdentity): Recording {
  try {
    const input = typeof file === 'string' ? file : Buffer.from(file.buffer, file.byteOffset, file.byteLength);
    const [header, ...rows] = parseWhole(input, OPTIONS) as unknown as Row[];
    if (header === undefined) throw emptyFile();
    const reader = new RowReader(header.record, lineOf(header), identity);
    return { readings: rows.map(row => reader.read(row.record, lineOf(row))), counts: reader.counts };
  } catch (error) {
    throw asImportError(error);
  }
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
  let reader: RowReader | undefined;
  let batch: KeptReading[] = [];
  const rows = Readable.from(source, { objectMode: false }).compose(parse(OPTIONS));
  try {
    for await (const row of rows as AsyncIterable<Row>) {
      if (reader === undefined) {
        reader = new RowReader(row.record, lineOf(row), identity);
        continue;
      }
      batch.push(reader.read(row.record, lineOf(row)));
      if (batch.length < size) continue;
      yield batch;
      batch = [];
    }
  } catch (error) {
    throw asImportError(error);
  }
  if (reader === undefined) throw emptyFile();
  if (batch.length > 0) yield batch;
  return reader.counts;
}
