/**
 * Readings of one station to a block of columns and back. Values become whole numbers at the layout's step; words
 * (sessions, states, reasons) are kept once per block. A decoder opens only the columns it is asked for, since a chart
 * of two quantities need not pay for ten.
 */
import type { ClockState, Quality, Quantities, Reading, Reasons, States } from '#kit';
import { packBlock, unpackBlock } from './block.ts';
import {
  ABSENT,
  decodeValues,
  encodeValues,
  GIVEN,
  MISSING,
  ROWS_MAX,
  readDeltas,
  readRuns,
  type ValueColumn,
  writeDeltas,
  writeRuns,
} from './column.ts';
import type { Channel, Layout } from './layout.ts';
import { ByteReader, ByteWriter, CodecError } from './varint.ts';

const CLOCKS: readonly ClockState[] = ['synced', 'stepped', 'unknown'];
const QUALITIES: readonly Quality[] = ['good', 'uncertain', 'bad'];
const TYPED = 16;

/** Where each column lies in a block; the channels follow in the layout's order. */
const PART = { at: 0, flags: 1, seq: 2, monoMs: 3, session: 4, states: 5, reasons: 6, channels: 7 } as const;

const flagsOf = (reading: Reading): number =>
  CLOCKS.indexOf(reading.clock) + 4 * QUALITIES.indexOf(reading.quality) + (reading.typed === true ? TYPED : 0);

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

function channelColumn(readings: readonly Reading[], channel: Channel): ValueColumn {
  const kinds = new Uint8Array(readings.length);
  const values = new Float64Array(readings.length).fill(Number.NaN);
  for (let row = 0; row < readings.length; row++) {
    const value = readings[row]!.quantities[channel.key];
    if (value === undefined) kinds[row] = ABSENT;
    else if (value === null) kinds[row] = MISSING;
    else {
      kinds[row] = GIVEN;
      values[row] = Math.round(value * channel.perUnit);
    }
  }
  return { kinds, values };
}

/**
 * Every quantity of every reading must be in the layout. Times are kept to the whole millisecond. Throws RangeError for
 * a value that cannot be stored.
 */
export function encodeReadings(readings: readonly Reading[], layout: Layout, level?: number): Buffer {
  if (readings.length > ROWS_MAX) throw new RangeError(`${readings.length} readings are too many for one block`);
  const words = new Words();
  const numbers = (pick: (reading: Reading) => number) => readings.map(pick);
  const session = numbers(r => words.numberOf(r.session));
  const states = numbers(r => words.numberOf(JSON.stringify(r.states)));
  const reasons = numbers(r => words.numberOf(JSON.stringify(r.reasons)));
  const body = new ByteWriter(1024 + readings.length * 8);
  // In the order of PART.
  const column = (write: (writer: ByteWriter) => void) => {
    const writer = new ByteWriter(64 + readings.length);
    write(writer);
    body.part(writer.bytes());
  };
  body.unsigned(readings.length);
  body.unsigned(words.list.length);
  for (const word of words.list) body.part(Buffer.from(word, 'utf8'));
  column(w =>
    writeDeltas(
      w,
      numbers(r => Math.round(r.at)),
    ),
  );
  column(w => writeRuns(w, numbers(flagsOf)));
  column(w =>
    writeDeltas(
      w,
      numbers(r => r.seq),
    ),
  );
  column(w =>
    writeDeltas(
      w,
      numbers(r => Math.round(r.monoMs)),
    ),
  );
  column(w => writeRuns(w, session));
  column(w => writeRuns(w, states));
  column(w => writeRuns(w, reasons));
  for (const channel of layout.channels) body.part(encodeValues(channelColumn(readings, channel)));
  return packBlock(body.bytes(), layout.text, level);
}

/** A block opened for reading, column by column. Constructing and every call may throw CodecError. */
class OpenedBlock {
  readonly count: number;
  readonly #layout: Layout;
  readonly #words: readonly string[];
  readonly #parts: readonly Uint8Array[];
  #flags: Uint32Array | undefined;

  constructor(block: Uint8Array, layout: Layout) {
    const reader = new ByteReader(unpackBlock(block, layout.text));
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

  /** True where the row's values may be drawn and summed: its quality is not bad. */
  usable(row: number): boolean {
    this.#flags ??= this.#runs(PART.flags);
    return QUALITIES[(this.#flags[row]! >> 2) & 3] !== 'bad';
  }

  /** Stored whole numbers of channel `index`; undefined where the block is older than that channel. */
  channel(index: number): ValueColumn | undefined {
    if (index < 0 || index >= this.#layout.channels.length) return undefined;
    return decodeValues(this.#parts[PART.channels + index]!, this.count);
  }

  readings(station: string): Reading[] {
    const channels = this.#layout.channels.map((_, index) => this.channel(index)!);
    const [at, seq, monoMs] = [this.at(), this.#deltas(PART.seq), this.#deltas(PART.monoMs)];
    const [flags, session] = [this.#runs(PART.flags), this.#runs(PART.session)];
    const [states, reasons] = [this.#runs(PART.states), this.#runs(PART.reasons)];
    return Array.from({ length: this.count }, (_, row): Reading => {
      const flag = flags[row]!;
      const clock = CLOCKS[flag & 3];
      const quality = QUALITIES[(flag >> 2) & 3];
      if (clock === undefined || quality === undefined) throw new CodecError('the block holds an unknown flag');
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
        ...((flag & TYPED) !== 0 ? { typed: true as const } : {}),
      };
    });
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

/** Throws CodecError where the bytes are not what `encodeReadings` gave for this layout. */
export const openBlock = (block: Uint8Array, layout: Layout): OpenedBlock => new OpenedBlock(block, layout);

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
