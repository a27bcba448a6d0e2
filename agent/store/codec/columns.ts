/**
 * Readings of one station turned into columns of whole numbers, once, for the block and for the rollups. Values at the
 * layout's step; words (sessions, states, reasons) once each, by number.
 */
import type { ClockState, Quality, QuantityKey, Reading } from '#kit';
import { ABSENT, GIVEN, MISSING, type ValueColumn } from './column.ts';
import type { Layout } from './layout.ts';

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
  /** In the layout's order. */
  channels: readonly ValueColumn[];
}

/** Gives each distinct text a number, in the order they appear. */
class Words {
  readonly list: string[] = [];
  readonly #numbers = new Map<string, number>();

  numberOf(text: string): number {
    const known = this.#numbers.get(text);
    if (known !== undefined) return known;
    this.#numbers.set(text, this.list.length);
    return this.list.push(text) - 1;
  }
}

type Flat = Readonly<Record<string, unknown>>;

/** Whether two plain objects have the same keys with the same values. */
function isSame(a: Flat, b: Flat): boolean {
  let count = 0;
  for (const key in a) {
    if (a[key] !== b[key]) return false;
    count++;
  }
  for (const key in b) if (--count < 0 || !(key in a)) return false;
  return count === 0;
}

/** Numbers of objects as JSON; those of neighbours are mostly alike, so that few are written out. */
function wordsOf(readings: readonly Reading[], words: Words, pick: (reading: Reading) => Flat): Uint32Array {
  const numbers = new Uint32Array(readings.length);
  let [last, number]: [Flat | null, number] = [null, 0];
  for (let row = 0; row < readings.length; row++) {
    const object = pick(readings[row]!);
    if (last === null || !isSame(last, object)) number = words.numberOf(JSON.stringify(object));
    numbers[row] = number;
    last = object;
  }
  return numbers;
}

function channelOf(readings: readonly Reading[], key: QuantityKey, perUnit: number): ValueColumn {
  const kinds = new Uint8Array(readings.length);
  const values = new Float64Array(readings.length);
  for (let row = 0; row < readings.length; row++) {
    const value = readings[row]!.quantities[key];
    if (value === undefined || value === null) {
      kinds[row] = value === null ? MISSING : ABSENT;
      values[row] = Number.NaN;
    } else {
      kinds[row] = GIVEN;
      values[row] = Math.round(value * perUnit);
    }
  }
  return { kinds, values };
}

/** Every quantity of every reading must be in the layout. Times are kept to the whole millisecond. */
export function columnsOf(readings: readonly Reading[], layout: Layout): Columns {
  const count = readings.length;
  const words = new Words();
  const [at, seq, monoMs] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)];
  const [flags, session] = [new Uint32Array(count), new Uint32Array(count)];
  let [lastSession, number] = ['', -1];
  for (let row = 0; row < count; row++) {
    const reading = readings[row]!;
    at[row] = Math.round(reading.at);
    seq[row] = reading.seq;
    monoMs[row] = Math.round(reading.monoMs);
    flags[row] =
      CLOCKS.indexOf(reading.clock) + 4 * QUALITIES.indexOf(reading.quality) + (reading.typed === true ? TYPED : 0);
    if (number < 0 || reading.session !== lastSession) number = words.numberOf(reading.session);
    lastSession = reading.session;
    session[row] = number;
  }
  return {
    count,
    at,
    flags,
    seq,
    monoMs,
    session,
    states: wordsOf(readings, words, reading => reading.states as Flat),
    reasons: wordsOf(readings, words, reading => reading.reasons as Flat),
    words: words.list,
    channels: layout.channels.map(({ key, perUnit }) => channelOf(readings, key, perUnit)),
  };
}
