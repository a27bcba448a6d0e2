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

function withoutNumber(channel: Filling, row: number, kind: typeof MISSING | typeof ABSENT): void {
  channel.kinds[row] = kind;
  channel.isFull = false;
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
  #keys: readonly string[] = [];
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
    const [keys, told] = [this.#keys, this.#told];
    let place = 0;
    for (const key in quantities) {
      if (keys[place] !== key) return false;
      const value = quantities[key as QuantityKey];
      const channel = told[place++]!;
      if (typeof value === 'number') channel.values[row] = Math.round(value * channel.perUnit);
      else withoutNumber(channel, row, value === null ? MISSING : ABSENT);
    }
    if (place < keys.length) return false;
    for (const channel of this.#absent) withoutNumber(channel, row, ABSENT);
    return true;
  }

  #turnTo(quantities: Quantities, room: Room): void {
    this.#keys = Object.keys(quantities);
    for (const key of this.#keys) if (!this.#indexOf.has(key)) this.unknown.add(key);
    // What nobody knows yet has no channel: these columns are made once more, with one.
    const known = this.#keys.map(key => this.#fillings[this.#indexOf.get(key) ?? -1]);
    this.#told = known.map(filling => filling ?? fillingOf(room, 1));
    this.#absent = this.#fillings.filter(filling => !known.includes(filling));
  }
}
