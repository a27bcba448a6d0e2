/**
 * Arrays for the rows of one block after the other. Made anew for each block they are most of what an import throws away,
 * and cold memory each time. What lies in one is whatever was left there.
 */

/** Arrays of one kind, in the order in which they are asked for. */
class Kept<T extends Float64Array | Uint32Array | Uint8Array> {
  readonly #made: T[] = [];
  #next = 0;
  readonly #make: (length: number) => T;

  constructor(make: (length: number) => T) {
    this.#make = make;
  }

  next(rows: number): T {
    const place = this.#next++;
    let found = this.#made[place];
    if (found === undefined || found.length < rows) this.#made[place] = found = this.#make(rows);
    return (found.length === rows ? found : found.subarray(0, rows)) as T;
  }

  clear(): void {
    this.#next = 0;
  }
}

export class Room {
  #rows = 0;
  readonly #numbers = new Kept(length => new Float64Array(length));
  readonly #counts = new Kept(length => new Uint32Array(length));
  readonly #bytes = new Kept(length => new Uint8Array(length));

  /** Takes all arrays back; from now on they are of so many rows. */
  clear(rows: number): void {
    this.#rows = rows;
    this.#numbers.clear();
    this.#counts.clear();
    this.#bytes.clear();
  }

  numbers(): Float64Array {
    return this.#numbers.next(this.#rows);
  }

  counts(): Uint32Array {
    return this.#counts.next(this.#rows);
  }

  bytes(): Uint8Array {
    return this.#bytes.next(this.#rows);
  }
}
