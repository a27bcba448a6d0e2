/**
 * Readings to a recording CSV (RFC 4180: commas, CRLF, header first), in pieces, so that a year streams through a few
 * kilobytes. Two passes over the record: the first learns which columns there are. Pure.
 */
import type { QuantityKey, Reading } from '#kit';
import { QUANTITIES } from '#kit';
import { CRLF, numberCell } from './cells.ts';
import { REQUIRED, TIME, WORD_COLUMNS, type WordColumn } from './columns.ts';
import { instantWriter } from './instants.ts';

const PIECE_CHARS = 64 * 1024;

export interface RecordingColumns {
  quantities: QuantityKey[];
  words: readonly WordColumn[];
}

/** A quantity's place in the table, its own number of the port behind it. */
function placeOf(key: QuantityKey): number {
  const [name, port = '0'] = key.split('.');
  return Object.keys(QUANTITIES).indexOf(name!) * 100 + Number(port);
}

/** The columns that these readings need: three always, the others where some reading has something to say there. */
export function recordingColumns(readings: Iterable<Reading>): RecordingColumns {
  const keys = new Set<string>();
  const words = new Set<WordColumn>();
  for (const reading of readings) {
    for (const key in reading.quantities) keys.add(key);
    for (const column of WORD_COLUMNS) if (!words.has(column) && column.write(reading) !== '') words.add(column);
  }
  for (const name of REQUIRED) keys.delete(name);
  const others = ([...keys] as QuantityKey[]).sort((a, b) => placeOf(a) - placeOf(b));
  return { quantities: [...REQUIRED, ...others], words: WORD_COLUMNS.filter(column => words.has(column)) };
}

/** @param zone IANA zone whose offset the times carry */
export function* recordingCsv(
  readings: Iterable<Reading>,
  { quantities, words }: RecordingColumns,
  zone: string,
): Generator<string> {
  const instant = instantWriter(zone);
  let piece = [TIME, ...quantities, ...words.map(column => column.name)].join(',') + CRLF;
  for (const reading of readings) {
    piece += instant(reading.at);
    for (const key of quantities) piece += `,${numberCell(reading.quantities[key])}`;
    for (const column of words) piece += `,${column.write(reading)}`;
    piece += CRLF;
    if (piece.length < PIECE_CHARS) continue;
    yield piece;
    piece = '';
  }
  if (piece !== '') yield piece;
}
