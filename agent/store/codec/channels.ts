/**
 * The quantities of a block's rows as columns of whole numbers at the layout's step. Each row is taken to give a number in
 * every channel and only what it does not give is noted: the innermost loop is most of an import.
 */
import type { Quantities, QuantityKey } from '#kit';
import { ABSENT, GIVEN, MISSING, type ValueColumn } from './column.ts';
import type { Layout } from './layout.ts';
import type { Room } from './room.ts';

/** One channel of the rows, filled row by row. */
interface Filling {
  readonly kinds: Uint8Array;
  readonly values: Float64Array;
  readonly perUnit: number;
  /** Every row so far gave a number. */
  isFull: boolean;
}

const fillingOf = (room: Room, perUnit: number): Filling => ({
  kinds: room.bytes().fill(GIVEN),
  values: room.numbers(),
  perUnit,
  isFull: true,
});

function put(channel: Filling, row: number, value: number | null | undefined): void {
  if (typeof value === 'number') channel.values[row] = Math.round(value * channel.perUnit);
  else {
    channel.kinds[row] = value === null ? MISSING : ABSENT;
    channel.isFull = false;
  }
}

const columnOf = ({ kinds, values, isFull }: Filling): ValueColumn => ({
  kinds,
  values,
  given: isFull ? values.length : kinds.reduce((given, kind) => given + Number(kind === GIVEN), 0),
});

export class Channels {
  readonly unknown = new Set<string>();
  readonly #fillings: readonly Filling[];
  readonly #indexOf: ReadonlyMap<string, number>;
  /** Keys of the row before and where each goes: nearly always a row has the same ones in the same order. */
  #keys: readonly QuantityKey[] = [];
  #told: readonly Filling[] = [];
  /** Those that the row before did not name. */
  #absent: readonly Filling[];

  constructor({ channels }: Layout, room: Room) {
    this.#fillings = channels.map(({ perUnit }) => fillingOf(room, perUnit));
    this.#absent = this.#fillings;
    this.#indexOf = new Map(channels.map(({ key }, index) => [key, index]));
  }

  columns(): ValueColumn[] {
    return this.#fillings.map(columnOf);
  }

  add(row: number, quantities: Quantities, room: Room): void {
    if (this.#take(row, quantities)) return;
    this.#turnTo(quantities, room);
    this.#take(row, quantities);
  }

  /** False where the row names other quantities than the one before it, or in another order. */
  #take(row: number, quantities: Quantities): boolean {
    const keys = this.#keys;
    let count = 0;
    for (const key in quantities) if (keys[count++] !== key) return false;
    if (count < keys.length) return false;
    this.#putAll(row, quantities, count);
    for (const channel of this.#absent) put(channel, row, undefined);
    return true;
  }

  /**
   * A line each: one that is always asked for the same name finds it as fast as if the name stood there, while a loop over
   * names looks each one up. A fifth of an import.
   */
  #putAll(row: number, quantities: Quantities, count: number): void {
    const [keys, told] = [this.#keys, this.#told];
    if (count > 0) put(told[0]!, row, quantities[keys[0]!]);
    if (count > 1) put(told[1]!, row, quantities[keys[1]!]);
    if (count > 2) put(told[2]!, row, quantities[keys[2]!]);
    if (count > 3) put(told[3]!, row, quantities[keys[3]!]);
    if (count > 4) put(told[4]!, row, quantities[keys[4]!]);
    if (count > 5) put(told[5]!, row, quantities[keys[5]!]);
    if (count > 6) put(told[6]!, row, quantities[keys[6]!]);
    if (count > 7) put(told[7]!, row, quantities[keys[7]!]);
    if (count > 8) put(told[8]!, row, quantities[keys[8]!]);
    if (count > 9) put(told[9]!, row, quantities[keys[9]!]);
    if (count > 10) put(told[10]!, row, quantities[keys[10]!]);
    if (count > 11) put(told[11]!, row, quantities[keys[11]!]);
    for (let place = 12; place < count; place++) put(told[place]!, row, quantities[keys[place]!]);
  }

  #turnTo(quantities: Quantities, room: Room): void {
    this.#keys = Object.keys(quantities) as QuantityKey[];
    for (const key of this.#keys) if (!this.#indexOf.has(key)) this.unknown.add(key);
    // What nobody knows yet has no channel: these columns are made once more, with one.
    const known = this.#keys.map(key => this.#fillings[this.#indexOf.get(key) ?? -1]);
    this.#told = known.map(filling => filling ?? fillingOf(room, 1));
    this.#absent = this.#fillings.filter(filling => !known.includes(filling));
  }
}
