/**
 * Readings to a recording CSV (RFC 4180: commas, CRLF, header first), in pieces, so that a year streams through a few
 * kilobytes. The columns are learned before, since the header comes first. Pure.
 */
import type { QuantityKey } from '#kit';
import { QUANTITIES } from '#kit';
import type { KeptReading, Told } from '#messages';
import { CRLF, numberCell, textCell } from './cells.ts';
import { REQUIRED, TIME, WORD_COLUMNS, type WordColumn } from './columns.ts';
import { instantWriter } from './instants.ts';

const PIECE_CHARS = 64 * 1024;

export interface RecordingColumns {
  quantities: readonly QuantityKey[];
  words: readonly WordColumn[];
}

/** A quantity's place in the table, its own number of the port behind it. */
function placeOf(key: QuantityKey): number {
  const [name, port = '0'] = key.split('.');
  return Object.keys(QUANTITIES).indexOf(name!) * 100 + Number(port);
}

/** Learns which columns readings need: three always, the others where some reading has something to say there. */
export class ColumnsSeen {
  readonly #keys = new Set<string>(REQUIRED);
  readonly #words = new Set<WordColumn>();

  add({ quantities, words }: Told): void {
    for (const key of quantities) this.#keys.add(key);
    for (const told of words) {
      for (const column of WORD_COLUMNS) {
        if (!this.#words.has(column) && column.tell(told) !== '') this.#words.add(column);
      }
    }
  }

  columns(): RecordingColumns {
    const keys = new Set(this.#keys);
    for (const name of REQUIRED) keys.delete(name);
    const others = ([...keys] as QuantityKey[]).sort((a, b) => placeOf(a) - placeOf(b));
    return { quantities: [...REQUIRED, ...others], words: WORD_COLUMNS.filter(column => this.#words.has(column)) };
  }
}

/** The columns of these readings. */
export function recordingColumns(readings: Iterable<KeptReading>): RecordingColumns {
  const seen = new ColumnsSeen();
  for (const reading of readings)
    seen.add({ quantities: Object.keys(reading.quantities) as QuantityKey[], words: [reading] });
  return seen.columns();
}

/** @param zone IANA zone whose offset the times carry */
export function* recordingCsv(
  readings: Iterable<KeptReading>,
  { quantities, words }: RecordingColumns,
  zone: string,
): Generator<string> {
  const instant = instantWriter(zone);
  let piece = [TIME, ...quantities, ...words.map(column => column.name)].join(',') + CRLF;
  for (const reading of readings) {
    piece += instant(reading.at);
    for (const key of quantities) piece += `,${numberCell(reading.quantities[key])}`;
    for (const column of words) piece += `,${textCell(column.tell(reading))}`;
    piece += CRLF;
    if (piece.length < PIECE_CHARS) continue;
    yield piece;
    piece = '';
  }
  if (piece !== '') yield piece;
}
