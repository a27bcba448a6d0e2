/** A station's readings as a recording file, in pieces: one pass for its columns, block by block, one for its rows. */
import { recordingColumns, recordingCsv } from '../exchange/write-recording.ts';
import type { OpenedRecord } from '../store/open.ts';

export interface RecordingWanted {
  readonly format: 'csv' | 'parquet';
  readonly station: string;
  /** UTC epoch ms: from, and up to but without. */
  readonly fromMs: number;
  readonly toMs: number;
  /** IANA zone whose offset the times carry. */
  readonly zone: string;
  /** Version of the program. */
  readonly version: string;
}

/** null where a piece of the work gave nothing to write. Throws WattkeepError at any piece. */
export async function* recordingPieces(
  record: OpenedRecord,
  { station, fromMs, toMs, zone }: RecordingWanted,
): AsyncGenerator<Uint8Array | null> {
  const columns = recordingColumns(record.readings(station, fromMs, toMs));
  for (const text of recordingCsv(record.readings(station, fromMs, toMs), columns, zone)) yield Buffer.from(text);
}
