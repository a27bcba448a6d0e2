/** How large a file of readings would be, without making it: rows counted, their length taken from the newest ones. */

import type { KeptReading, RecordingSize } from '#messages';
import { ColumnsSeen, recordingCsv } from '../exchange/write-recording.ts';
import type { OpenedRecord } from '../store/open.ts';
import type { RecordingWanted } from './recording-pieces.ts';

/** Hours that hold the rows that are looked at. */
const LOOK_MS = 6 * 3_600_000;
const ROWS = 500;

/** Throws WattkeepError. */
export function recordingSize(
  record: Pick<OpenedRecord, 'rowCount' | 'extent' | 'readings' | 'told'>,
  { station, fromMs, toMs, zone }: Pick<RecordingWanted, 'station' | 'fromMs' | 'toMs' | 'zone'>,
): RecordingSize {
  const rows = record.rowCount(station, fromMs, toMs);
  const extent = record.extent(station);
  const endMs = Math.min(toMs, (extent?.toMs ?? fromMs) + 1);
  const size = (startMs: number) => csvSize(record, station, startMs, endMs, zone);
  // Where nothing was recorded lately, from the beginning on.
  const sample = size(Math.max(fromMs, endMs - LOOK_MS)) ?? size(fromMs);
  const csvBytes = sample === null ? 0 : sample.headBytes + sample.rowBytes * (rows.readings + rows.minutes);
  return { ...rows, csvBytes: Math.round(csvBytes) };
}

function csvSize(
  record: Pick<OpenedRecord, 'readings' | 'told'>,
  station: string,
  fromMs: number,
  toMs: number,
  zone: string,
): { headBytes: number; rowBytes: number } | null {
  const readings: KeptReading[] = [];
  for (const reading of record.readings(station, fromMs, toMs)) {
    readings.push(reading);
    if (readings.length === ROWS) break;
  }
  if (readings.length === 0) return null;
  const seen = new ColumnsSeen();
  for (const told of record.told(station, readings[0]!.at, readings.at(-1)!.at + 1)) seen.add(told);
  const columns = seen.columns();
  const bytes = (of: readonly KeptReading[]) => Buffer.byteLength([...recordingCsv(of, columns, zone)].join(''));
  const headBytes = bytes([]);
  return { headBytes, rowBytes: (bytes(readings) - headBytes) / readings.length };
}
