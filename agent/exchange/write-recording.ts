/**
 * Readings to a recording CSV (RFC 4180: commas, CRLF, header first), in pieces, so that a year streams through a few
 * kilobytes. The columns are learned before, since the header comes first. Pure.
 */
import type { QuantityKey } from '#kit';
import { QUANTITIES } from '#kit';
import type { KeptReading, Told } from '#messages';
import { CRLF, numberCell, textCell } from './cells.ts';
import { RAN, REQUIRED, SESSION, TIME, WORD_COLUMNS, type WordColumn } from './columns.ts';
import { instantWriter } from './instants.ts';

const PIECE_CHARS = 64 * 1024;

export interface RecordingColumns {
  quantities: readonly QuantityKey[];
  words: readonly WordColumn[];
  /** More than one session is told: each row says which. */
  sessions: boolean;
  /** A clock was put right: rows say how long it was since the one above. */
  ran: boolean;
}

type Place = Pick<KeptReading, 'session' | 'at' | 'monoMs'>;

/** @returns the number of a reading's session in its file; readings come in order */
export function sessionCounter(): (reading: Pick<KeptReading, 'session'>) => number {
  let [count, last]: [number, string | null] = [0, null];
  return ({ session }) => {
    if (session !== last) count++;
    last = session;
    return count;
  };
}

/**
 * @returns how long it was since the reading before, ms; null where their instants say the same, or nothing goes on from
 * it. Readings come in order
 */
export function ranMsCounter(): (reading: Place) => number | null {
  let last: Place | null = null;
  return reading => {
    const before = last;
    last = reading;
    if (before?.session !== reading.session) return null;
    const ranMs = reading.monoMs - before.monoMs;
    return ranMs === reading.at - before.at ? null : ranMs;
  };
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
  #clock: Told['clocks'][number] | null = null;
  #sessions = false;
  #ran = false;

  add({ quantities, words, clocks }: Told): void {
    for (const now of clocks) {
      const last = this.#clock;
      this.#clock = now;
      if (last === null) continue;
      if (last.session !== now.session) this.#sessions = true;
      else if (last.behindMs !== now.behindMs) this.#ran = true;
    }
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
    return {
      quantities: [...REQUIRED, ...others],
      words: WORD_COLUMNS.filter(column => this.#words.has(column)),
      sessions: this.#sessions,
      ran: this.#ran,
    };
  }
}

/** The columns of these readings. */
export function recordingColumns(readings: Iterable<KeptReading>): RecordingColumns {
  const seen = new ColumnsSeen();
  for (const reading of readings)
    seen.add({
      quantities: Object.keys(reading.quantities) as QuantityKey[],
      words: [reading],
      clocks: [{ session: reading.session, behindMs: reading.at - reading.monoMs }],
    });
  return seen.columns();
}

/** @param zone IANA zone whose offset the times carry */
export function* recordingCsv(
  readings: Iterable<KeptReading>,
  { quantities, words, sessions, ran }: RecordingColumns,
  zone: string,
): Generator<string> {
  const instant = instantWriter(zone);
  const [session, ranMs] = [sessionCounter(), ranMsCounter()];
  const numbers = [...(sessions ? [SESSION] : []), ...(ran ? [RAN] : [])];
  const names = [TIME, ...quantities, ...words.map(column => column.name), ...numbers];
  let piece = names.join(',') + CRLF;
  for (const reading of readings) {
    piece += instant(reading.at);
    for (const key of quantities) piece += `,${numberCell(reading.quantities[key])}`;
    for (const column of words) piece += `,${textCell(column.tell(reading))}`;
    if (sessions) piece += `,${numberCell(session(reading))}`;
    if (ran) piece += `,${numberCell(ranMs(reading))}`;
    piece += CRLF;
    if (piece.length < PIECE_CHARS) continue;
    yield piece;
    piece = '';
  }
  if (piece !== '') yield piece;
}
