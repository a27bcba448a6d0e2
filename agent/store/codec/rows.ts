/**
 * Readings of one station to a block of columns and back. Values become whole numbers at the layout's step; words
 * (sessions, states, reasons) are kept once per block. A decoder opens only the columns it is asked for, since a chart
 * of two quantities need not pay for ten.
 */
import type { Quantities, QuantityKey, Reading, Reasons, States } from '#kit';
import type { Told } from '#messages';
import { packBlock, unpackBlock } from './block.ts';
import {
  ABSENT,
  decodeValues,
  GIVEN,
  ROWS_MAX,
  readDeltas,
  readRuns,
  type ValueColumn,
  writeRuns,
  writeValues,
} from './column.ts';
import { CLOCKS, type Columns, FLAGS_END, QUALITIES, TYPED } from './columns.ts';
import type { Layout } from './layout.ts';
import { ByteReader, ByteWriter, CodecError } from './varint.ts';

/**
 * Where each column lies in a block; the channels follow in the layout's order. `monoMs` holds what it is ahead of `at`
 * (the clock itself in format 1).
 */
const PART = { at: 0, flags: 1, seq: 2, monoMs: 3, session: 4, states: 5, reasons: 6, channels: 7 } as const;

/** Throws RangeError for a value that cannot be stored. */
export function encodeColumns(columns: Columns): Buffer {
  const { count, words, at } = columns;
  if (count > ROWS_MAX) throw new RangeError(`${count} readings are too many for one block`);
  const body = new ByteWriter(1024 + count * (8 + columns.channels.length));
  const writer = new ByteWriter((count + 8) * 8);
  const part = (write: (writer: ByteWriter) => void) => {
    writer.clear();
    write(writer);
    body.part(writer.bytes());
  };
  body.unsigned(count);
  body.unsigned(words.length);
  for (const word of words) body.part(Buffer.from(word, 'utf8'));
  // In the order of PART.
  part(to => to.deltas(at));
  part(to => writeRuns(to, columns.flags));
  part(to => to.deltas(columns.seq));
  // Both clocks shake alike: their difference hardly moves.
  const behind = new Float64Array(count);
  for (let row = 0; row < count; row++) behind[row] = columns.monoMs[row]! - at[row]!;
  part(to => to.deltas(behind));
  part(to => writeRuns(to, columns.session));
  part(to => writeRuns(to, columns.states));
  part(to => writeRuns(to, columns.reasons));
  for (const channel of columns.channels) part(to => writeValues(to, channel));
  return packBlock(body.bytes(), columns.layout.text);
}

/** What holds the input back, as rows tell it: each by its words, and what these say. */
export interface Limits {
  readonly at: Float64Array;
  readonly words: Uint32Array;
  readonly byWord: readonly (States['inputLimitedBy'] | undefined)[];
}

/** A block opened for reading, column by column. Constructing and every call may throw CodecError. */
class OpenedBlock {
  readonly count: number;
  readonly #version: number;
  readonly #layout: Layout;
  readonly #words: readonly string[];
  readonly #parts: readonly Uint8Array[];

  constructor(block: Uint8Array, layout: Layout) {
    const reader = new ByteReader(unpackBlock(block, layout.text));
    this.#version = block[0]!;
    this.count = reader.unsigned();
    const words = reader.unsigned();
    if (this.count > ROWS_MAX || words > 3 * ROWS_MAX) throw new CodecError('the block says it holds too many rows');
    this.#layout = layout;
    this.#words = Array.from({ length: words }, () => Buffer.from(reader.part()).toString('utf8'));
    this.#parts = Array.from({ length: PART.channels + layout.channels.length }, () => reader.part());
  }

  /** UTC epoch ms, row by row. */
  at(): Float64Array {
    return this.#deltas(PART.at);
  }

  /** What each row says of its clock and its quality. */
  flags(): Uint32Array {
    return this.#runs(PART.flags);
  }

  /** Stored whole numbers of channel `index`; undefined where the block is older than that channel. */
  channel(index: number): ValueColumn | undefined {
    if (index < 0 || index >= this.#layout.channels.length) return undefined;
    return decodeValues(this.#parts[PART.channels + index]!, this.count);
  }

  /** All that a rollup counts. */
  rows(): Pick<Columns, 'count' | 'at' | 'flags' | 'channels'> {
    const channels = this.#layout.channels.map((_, index) => this.channel(index)!);
    return { count: this.count, at: this.at(), flags: this.flags(), channels };
  }

  /** What rows of [fromMs, toMs) tell of, none of their values opened. */
  told(fromMs: number, toMs: number): Told {
    const [at, flags] = [this.at(), this.flags()];
    const [states, reasons] = [this.#runs(PART.states), this.#runs(PART.reasons)];
    const [session, monoMs] = [this.#runs(PART.session), this.#monoMs(at)];
    const rows = Array.from(at.keys()).filter(row => at[row]! >= fromMs && at[row]! < toMs);
    const quantities: QuantityKey[] = [];
    for (const [index, { key }] of this.#layout.channels.entries()) {
      const kinds = readRuns(new ByteReader(this.#parts[PART.channels + index]!), this.count);
      if (rows.some(row => kinds[row] !== ABSENT)) quantities.push(key);
    }
    const ways = new Map<number, Told['words'][number]>();
    for (const row of rows) {
      const [flag, state, reason] = [flags[row]!, states[row]!, reasons[row]!];
      const way = flag + (state + reason * this.#words.length) * FLAGS_END;
      if (ways.has(way)) continue;
      const told = {
        states: JSON.parse(this.#word(state)) as States,
        reasons: JSON.parse(this.#word(reason)) as Reasons,
      };
      ways.set(way, { ...wordsOf(flag), ...told });
    }
    const clocks: Told['clocks'][number][] = [];
    for (const row of rows) {
      const now = { session: this.#word(session[row]!), behindMs: at[row]! - monoMs[row]! };
      const last = clocks.at(-1);
      if (last?.session !== now.session || last.behindMs !== now.behindMs) clocks.push(now);
    }
    return { quantities, words: [...ways.values()], clocks };
  }

  /** What each row says to hold the input back; null where none of them says anything. */
  limits(): Limits | null {
    const byWord = this.#words.map(word =>
      word.includes('"inputLimitedBy"') ? (JSON.parse(word) as States).inputLimitedBy : undefined,
    );
    if (byWord.every(limit => limit === undefined)) return null;
    const states = this.#runs(PART.states);
    return { at: this.at(), words: states, byWord };
  }

  readings(station: string): Reading[] {
    const channels = this.#layout.channels.map((_, index) => this.channel(index)!);
    const [at, seq] = [this.at(), this.#deltas(PART.seq)];
    const monoMs = this.#monoMs(at);
    const [flags, session] = [this.flags(), this.#runs(PART.session)];
    const [states, reasons] = [this.#runs(PART.states), this.#runs(PART.reasons)];
    return Array.from({ length: this.count }, (_, row): Reading => {
      const { clock, quality, typed } = wordsOf(flags[row]!);
      return {
        station,
        session: this.#word(session[row]!),
        seq: seq[row]!,
        monoMs: monoMs[row]!,
        at: at[row]!,
        clock,
        quantities: quantitiesAt(this.#layout, channels, row),
        states: JSON.parse(this.#word(states[row]!)) as States,
        quality,
        reasons: JSON.parse(this.#word(reasons[row]!)) as Reasons,
        ...(typed === true ? { typed } : {}),
      };
    });
  }

  #monoMs(at: Float64Array): Float64Array {
    const behind = this.#deltas(PART.monoMs);
    return this.#version === 1 ? behind : behind.map((ms, row) => ms + at[row]!);
  }

  #deltas(part: number): Float64Array {
    return readDeltas(new ByteReader(this.#parts[part]!), this.count);
  }

  #runs(part: number): Uint32Array {
    return readRuns(new ByteReader(this.#parts[part]!), this.count);
  }

  #word(index: number): string {
    const found = this.#words[index];
    if (found === undefined) throw new CodecError('the block names a word that it does not hold');
    return found;
  }
}

/** Throws CodecError where the bytes are not what `encodeColumns` gave for this layout. */
export const openBlock = (block: Uint8Array, layout: Layout): OpenedBlock => new OpenedBlock(block, layout);

/** What a flag says. Throws CodecError. */
function wordsOf(flag: number): Pick<Reading, 'clock' | 'quality' | 'typed'> {
  const clock = CLOCKS[flag & 3];
  const quality = QUALITIES[(flag >> 2) & 3];
  if (clock === undefined || quality === undefined) throw new CodecError('the block holds an unknown flag');
  return (flag & TYPED) === 0 ? { clock, quality } : { clock, quality, typed: true };
}

function quantitiesAt(layout: Layout, columns: readonly ValueColumn[], row: number): Quantities {
  const quantities: Quantities = {};
  for (let index = 0; index < columns.length; index++) {
    const kind = columns[index]!.kinds[row];
    if (kind === ABSENT) continue;
    const { key, perUnit } = layout.channels[index]!;
    quantities[key] = kind === GIVEN ? columns[index]!.values[row]! / perUnit : null;
  }
  return quantities;
}
