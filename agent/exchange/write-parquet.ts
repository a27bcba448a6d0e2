/**
 * Readings to Apache Parquet, a row group at a time, so that a year goes through the memory of one group: `time` is
 * INT64 TIMESTAMP(MILLIS, UTC), quantities are nullable doubles, words are nullable strings. What the columns mean (units,
 * zone, versions) stands in the file's key-value metadata. The library is loaded when it is first needed.
 */
import { gzipSync } from 'node:zlib';
import type { SchemaElement } from 'hyparquet-writer';
import { type QuantityKey, quantityRow } from '#kit';
import type { KeptReading } from '#messages';
import { RAN, SESSION, TIME, type WordColumn } from './columns.ts';
import { type RecordingColumns, ranMsCounter, sessionCounter } from './write-recording.ts';

/** A little more than half a day at a reading a second. */
const GROUP_ROWS = 50_000;
/** Of the columns and what stands in them; raised where a reader of an older file would err. */
const FORMAT_VERSION = '1';

export interface ParquetAbout {
  readonly station: string;
  /** IANA zone of the station; times are UTC all the same. */
  readonly zone: string;
  /** Version of the program. */
  readonly version: string;
  /** The readings are those of a simulated station. */
  readonly simulated: boolean;
}

type Cell = number | bigint | string | null;

interface Column {
  readonly schema: SchemaElement;
  readonly encoding?: 'DELTA_BINARY_PACKED';
  of(reading: KeptReading): Cell;
}

const timeColumn: Column = {
  schema: {
    name: TIME,
    type: 'INT64',
    repetition_type: 'REQUIRED',
    converted_type: 'TIMESTAMP_MILLIS',
    logical_type: { type: 'TIMESTAMP', isAdjustedToUTC: true, unit: 'MILLIS' },
  },
  encoding: 'DELTA_BINARY_PACKED',
  of: reading => BigInt(reading.at),
};

const quantityColumn = (key: QuantityKey): Column => ({
  schema: { name: key, type: 'DOUBLE', repetition_type: 'OPTIONAL' },
  of: reading => reading.quantities[key] ?? null,
});

const wordColumn = ({ name, tell, counts }: WordColumn): Column =>
  counts === true
    ? {
        schema: { name, type: 'INT32', repetition_type: 'OPTIONAL' },
        of: reading => (tell(reading) === '' ? null : Number(tell(reading))),
      }
    : {
        schema: { name, type: 'BYTE_ARRAY', repetition_type: 'OPTIONAL', converted_type: 'UTF8' },
        of: reading => tell(reading) || null,
      };

function sessionColumn(): Column {
  const count = sessionCounter();
  return { schema: { name: SESSION, type: 'INT32', repetition_type: 'REQUIRED' }, of: count };
}

function ranColumn(): Column {
  const ranMs = ranMsCounter();
  return {
    schema: { name: RAN, type: 'INT64', repetition_type: 'OPTIONAL' },
    of: reading => {
      const ms = ranMs(reading);
      return ms === null ? null : BigInt(ms);
    },
  };
}

/** Gives the bytes of the file in order. @param groupRows what is held in memory at once */
export async function* recordingParquet(
  readings: Iterable<KeptReading>,
  { quantities, words, sessions, ran }: RecordingColumns,
  about: ParquetAbout,
  groupRows = GROUP_ROWS,
): AsyncGenerator<Uint8Array> {
  const { ByteWriter, ParquetWriter } = await import('hyparquet-writer');
  const columns = [
    timeColumn,
    ...quantities.map(quantityColumn),
    ...words.map(wordColumn),
    ...(sessions ? [sessionColumn()] : []),
    ...(ran ? [ranColumn()] : []),
  ];
  const bytes = new ByteWriter();
  const file = new ParquetWriter({
    writer: bytes,
    schema: [{ name: 'reading', num_children: columns.length }, ...columns.map(column => column.schema)],
    codec: 'GZIP',
    compressors: { GZIP: content => gzipSync(content) },
    createdBy: `wattkeep ${about.version}`,
    kvMetadata: metadataOf(quantities, about),
  });
  /** What was written since, taken out of the writer's memory. */
  const written = () => {
    const piece = bytes.getBytes().slice();
    bytes.index = 0;
    return piece;
  };
  let rows: Cell[][] = columns.map(() => []);
  const writeGroup = () => {
    const columnData = columns.map(({ schema, encoding }, i) => ({
      name: schema.name,
      data: rows[i]!,
      ...(encoding === undefined ? {} : { encoding }),
    }));
    void file.write({ columnData, rowGroupSize: groupRows });
    rows = columns.map(() => []);
    return written();
  };
  for (const reading of readings) {
    for (let i = 0; i < columns.length; i++) rows[i]!.push(columns[i]!.of(reading));
    if (rows[0]!.length === groupRows) yield writeGroup();
  }
  if (rows[0]!.length > 0) yield writeGroup();
  void file.finish();
  yield written();
}

function metadataOf(quantities: readonly QuantityKey[], { station, zone, version, simulated }: ParquetAbout) {
  const units = Object.fromEntries(quantities.map(key => [key, quantityRow(key)!.unit]));
  return Object.entries({
    'wattkeep.format': FORMAT_VERSION,
    'wattkeep.version': version,
    'wattkeep.station': station,
    'wattkeep.zone': zone,
    'wattkeep.units': JSON.stringify({ ...units, meanOverMs: 'ms', [RAN]: 'ms' }),
    ...(simulated ? { 'wattkeep.simulated': 'true' } : {}),
  }).map(([key, value]) => ({ key, value }));
}
