/**
 * Readings of one station turned into columns of whole numbers, once, for the block and for the rollups. Values at the
 * layout's step; words (sessions, states, reasons) once each, by number.
 */
import type { ClockState, Quality, Reading } from '#kit';
import { Channels } from './channels.ts';
import type { ValueColumn } from './column.ts';
import { extendLayout, type Layout } from './layout.ts';
import { Room } from './room.ts';

export const CLOCKS: readonly ClockState[] = ['synced', 'stepped', 'unknown'];
export const QUALITIES: readonly Quality[] = ['good', 'uncertain', 'bad'];
export const TYPED = 16;
/** All flags are smaller. */
export const FLAGS_END = 32;
const BAD = QUALITIES.indexOf('bad');

export const isBad = (flags: number): boolean => ((flags >> 2) & 3) === BAD;

export interface Columns {
  count: number;
  /** UTC epoch ms, whole. */
  at: Float64Array;
  flags: Uint32Array;
  seq: Float64Array;
  monoMs: Float64Array;
  /** Of these three, numbers of `words`. */
  session: Uint32Array;
  states: Uint32Array;
  reasons: Uint32Array;
  words: readonly string[];
  /** The station's, with every quantity of these readings in it. */
  layout: Layout;
  /** In the layout's order. */
  channels: readonly ValueColumn[];
}

/** Gives each distinct text a number, in the order they appear. */
class Words {
  readonly list: string[] = [];
  readonly #numbers = new Map<string, number>();
  #none = -1;

  numberOf(text: string): number {
    const known = this.#numbers.get(text);
    if (known !== undefined) return known;
    this.#numbers.set(text, this.list.length);
    return this.list.push(text) - 1;
  }

  numberOfObject(object: object): number {
    return this.numberOf(JSON.stringify(object));
  }

  /** Of an object that says nothing, as most do. */
  numberOfNone(): number {
    if (this.#none < 0) this.#none = this.numberOf('{}');
    return this.#none;
  }
}

type Flat = Readonly<Record<string, unknown>>;

/** Before the first: like none. */
const NONE = { session: null, clock: null, quality: null, typed: undefined, states: {}, reasons: {} };
type Before = Reading | typeof NONE;

/** Whether all that one plain object says, of what the other one says, is the same, and it says as much. */
function isSame(a: object, b: object): boolean {
  let count = 0;
  for (const key in a) {
    if ((a as Flat)[key] !== (b as Flat)[key]) return false;
    count++;
  }
  for (const _ in b) count--;
  return count === 0;
}

/** Number of an object's text; that of the row before where they are alike, so that few are written out. */
function wordAt(row: number, column: Uint32Array, object: object, before: object, words: Words): number {
  for (const _ in object) return isSame(object, before) ? column[row - 1]! : words.numberOfObject(object);
  return words.numberOfNone();
}

/** What a reading says of its clock and its quality, and that it was typed. */
const flagsOf = ({ clock, quality, typed }: Reading): number =>
  CLOCKS.indexOf(clock) + 4 * QUALITIES.indexOf(quality) + (typed === true ? TYPED : 0);

const isFlaggedAlike = (a: Reading, b: Before): boolean =>
  a.clock === b.clock && a.quality === b.quality && a.typed === b.typed;

/**
 * Times are kept to the whole millisecond. Throws RangeError for a quantity that nobody knows.
 *
 * @param layout of the station so far
 * @param room where the columns lie, until it is taken for other ones
 */
export function columnsOf(readings: readonly Reading[], layout: Layout, room = new Room()): Columns {
  const count = readings.length;
  room.clear(count);
  const words = new Words();
  const [at, seq, monoMs] = [room.numbers(), room.numbers(), room.numbers()];
  const [flags, session, states, reasons] = [room.counts(), room.counts(), room.counts(), room.counts()];
  const channels = new Channels(layout, room);
  let before: Before = NONE;
  for (let row = 0; row < count; row++) {
    const reading = readings[row]!;
    at[row] = Math.round(reading.at);
    seq[row] = reading.seq;
    monoMs[row] = Math.round(reading.monoMs);
    // Neighbours are mostly alike in all of these.
    flags[row] = isFlaggedAlike(reading, before) ? flags[row - 1]! : flagsOf(reading);
    session[row] = reading.session === before.session ? session[row - 1]! : words.numberOf(reading.session);
    states[row] = wordAt(row, states, reading.states, before.states, words);
    reasons[row] = wordAt(row, reasons, reading.reasons, before.reasons, words);
    channels.add(row, reading.quantities, room);
    before = reading;
  }
  if (channels.unknown.size > 0) return columnsOf(readings, extendLayout(layout, channels.unknown), room);
  const told = { at, flags, seq, monoMs, session, states, reasons, words: words.list };
  return { count, ...told, layout, channels: channels.columns() };
}
