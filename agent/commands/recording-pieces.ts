/** A station's readings as a recording file, in pieces: a quick pass for its columns, one for its rows. */
import { recordingParquet } from '../exchange/write-parquet.ts';
import { ColumnsSeen, type RecordingColumns, recordingCsv } from '../exchange/write-recording.ts';
import type { OpenedRecord } from '../store/open.ts';

export const RECORDING_FORMATS = ['csv', 'parquet'] as const;
export type RecordingFormat = (typeof RECORDING_FORMATS)[number];

export interface RecordingWanted {
  readonly format: RecordingFormat;
  readonly station: string;
  /** UTC epoch ms: from, and up to but without. */
  readonly fromMs: number;
  readonly toMs: number;
  /** IANA zone whose offset the times carry. */
  readonly zone: string;
  /** Version of the program. */
  readonly version: string;
}

/** So many blocks, or minutes, are looked at in one piece of work. */
const AT_A_TIME = 100;

/**
 * null where a piece of the work gave nothing to write. Throws WattkeepError at any piece.
 *
 * @param simulated whether the record is of a simulated station
 */
export async function* recordingPieces(
  record: Pick<OpenedRecord, 'readings' | 'told'>,
  wanted: RecordingWanted,
  simulated: boolean,
): AsyncGenerator<Uint8Array | null> {
  const { format, station, fromMs, toMs, zone } = wanted;
  const columns = yield* columnsOf(record, wanted);
  const readings = record.readings(station, fromMs, toMs);
  if (format === 'parquet') yield* recordingParquet(readings, columns, { ...wanted, simulated });
  else for (const text of recordingCsv(readings, columns, zone)) yield Buffer.from(text);
}

function* columnsOf(
  record: Pick<OpenedRecord, 'told'>,
  { station, fromMs, toMs }: RecordingWanted,
): Generator<null, RecordingColumns> {
  const seen = new ColumnsSeen();
  let count = 0;
  for (const told of record.told(station, fromMs, toMs)) {
    seen.add(told);
    if (++count % AT_A_TIME === 0) yield null;
  }
  return seen.columns();
}
