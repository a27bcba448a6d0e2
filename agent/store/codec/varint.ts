/**
 * Whole numbers as bytes: seven bits a byte, low bits first, the high bit says "more follows" (LEB128). Signed numbers
 * are folded first (0, -1, 1, -2 … become 0, 1, 2, 3 …). Arithmetic, not bit operators, since instants pass 2^31.
 */

/** What a damaged or foreign block gives instead of values. */
export class CodecError extends Error {
  override readonly name = 'CodecError';
}

/** Largest magnitude that may be stored: a difference of two of them, folded, is still exact in a double. */
export const STORED_MAX = 2 ** 50;
const VARINT_MAX_BYTES = 8;
/** Folded it still fits a signed 32-bit number. */
const SMALL = 2 ** 30;

/** A growing run of bytes. */
export class ByteWriter {
  #bytes: Uint8Array;
  #length = 0;

  constructor(capacity = 256) {
    this.#bytes = new Uint8Array(capacity);
  }

  get length(): number {
    return this.#length;
  }

  /** Writes a whole number from 0 to 2^53 - 1. Throws RangeError for anything else. */
  unsigned(value: number): void {
    if (!Number.isSafeInteger(value) || value < 0) throw new RangeError(`cannot store ${value} as a whole number`);
    this.#reserve(VARINT_MAX_BYTES);
    let rest = value;
    while (rest >= 0x80) {
      this.#bytes[this.#length++] = (rest % 0x80) | 0x80;
      rest = Math.floor(rest / 0x80);
    }
    this.#bytes[this.#length++] = rest;
  }

  /** Writes a whole number of at most 2^52 either side of zero. */
  signed(value: number): void {
    this.unsigned(value >= 0 ? value * 2 : -value * 2 - 1);
  }

  /**
   * Writes the difference of each number to the one before it, of the first to 0. Throws RangeError for what is no whole
   * number or larger than STORED_MAX.
   */
  deltas(values: Float64Array): void {
    this.#reserve((values.length + 1) * VARINT_MAX_BYTES);
    const bytes = this.#bytes;
    let length = this.#length;
    let last = 0;
    for (let i = 0; i < values.length; i++) {
      const value = values[i]!;
      const difference = value - last;
      last = value;
      // Nearly all differences are small, and then bit operators do.
      if (difference >= -SMALL && difference < SMALL && (difference | 0) === difference) {
        let rest = (difference << 1) ^ (difference >> 31);
        for (; rest >= 0x80; rest >>= 7) bytes[length++] = rest | 0x80;
        bytes[length++] = rest;
        continue;
      }
      if (!(value <= STORED_MAX && value >= -STORED_MAX)) throw new RangeError(`${value} is too large to store`);
      this.#length = length;
      this.signed(difference);
      length = this.#length;
    }
    this.#length = length;
  }

  /** Writes `part` with its length before it, so that a reader can step over it. */
  part(part: Uint8Array): void {
    this.unsigned(part.length);
    this.#reserve(part.length);
    this.#bytes.set(part, this.#length);
    this.#length += part.length;
  }

  /** Begins anew in the same room. */
  clear(): void {
    this.#length = 0;
  }

  /** A view of what was written; valid until the next write. */
  bytes(): Uint8Array {
    return this.#bytes.subarray(0, this.#length);
  }

  #reserve(extra: number): void {
    if (this.#length + extra <= this.#bytes.length) return;
    const bigger = new Uint8Array(Math.max(this.#bytes.length * 2, this.#length + extra));
    bigger.set(this.#bytes.subarray(0, this.#length));
    this.#bytes = bigger;
  }
}

/** Reads what a ByteWriter wrote. Throws CodecError past the end. */
export class ByteReader {
  readonly #bytes: Uint8Array;
  #position = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  get left(): number {
    return this.#bytes.length - this.#position;
  }

  unsigned(): number {
    const first = this.#bytes[this.#position];
    if (first !== undefined && first < 0x80) {
      this.#position++;
      return first;
    }
    let value = 0;
    let scale = 1;
    for (;;) {
      const byte = this.#bytes[this.#position++];
      if (byte === undefined) throw new CodecError('the block ends in the middle of a number');
      value += (byte & 0x7f) * scale;
      if (byte < 0x80) break;
      scale *= 0x80;
      if (scale > 2 ** 49) throw new CodecError('a number in the block is too long');
    }
    if (!Number.isSafeInteger(value)) throw new CodecError('a number in the block is too large');
    return value;
  }

  signed(): number {
    const folded = this.unsigned();
    if (folded < SMALL) return (folded >> 1) ^ -(folded & 1);
    return folded % 2 === 0 ? folded / 2 : -(folded + 1) / 2;
  }

  /** Puts as many numbers as there is room for into `values`, each the sum of all differences so far. */
  deltas(values: Float64Array): void {
    const bytes = this.#bytes;
    let position = this.#position;
    let last = 0;
    for (let i = 0; i < values.length; i++) {
      let folded = bytes[position]!;
      if (folded < 0x80) position++;
      else if (bytes[position + 1]! < 0x80) {
        folded = (folded & 0x7f) | (bytes[position + 1]! << 7);
        position += 2;
      } else {
        this.#position = position;
        last += this.signed();
        position = this.#position;
        values[i] = last;
        continue;
      }
      last += (folded >> 1) ^ -(folded & 1);
      values[i] = last;
    }
    this.#position = position;
  }

  part(): Uint8Array {
    const length = this.unsigned();
    if (length > this.left) throw new CodecError('the block ends in the middle of a column');
    const part = this.#bytes.subarray(this.#position, this.#position + length);
    this.#position += length;
    return part;
  }
}
