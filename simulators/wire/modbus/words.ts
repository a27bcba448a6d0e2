/**
 * Writes SunSpec points one after the other, in the order in which a model's definition lists them. A value left out is
 * written as "not implemented" (SunSpec Device Information Model Specification, section on point types).
 */
export type Told = number | null | undefined;

const present = (value: Told): value is number => typeof value === 'number';

export class Words {
  readonly #words: number[] = [];

  get length(): number {
    return this.#words.length;
  }

  taken(): Uint16Array {
    return Uint16Array.from(this.#words);
  }

  /** `value` in units of 10 to the power of `scale`; out of a word's range is "not implemented". */
  uint16(value?: Told, scale = 0): this {
    const raw = present(value) ? Math.round(value / 10 ** scale) : 0xffff;
    return this.#push(raw >= 0 && raw < 0xffff ? raw : 0xffff);
  }

  int16(value?: Told, scale = 0): this {
    const raw = present(value) ? Math.round(value / 10 ** scale) : -0x8000;
    return this.#push(Math.abs(raw) < 0x8000 ? raw & 0xffff : 0x8000);
  }

  scale(exponent?: number): this {
    return this.int16(exponent);
  }

  uint32(value?: Told, scale = 0): this {
    const raw = present(value) ? Math.round(value / 10 ** scale) : 0xffff_ffff;
    return this.#push(Math.floor(raw / 0x1_0000), raw % 0x1_0000);
  }

  /** A running total of 32 bits that begins again at 0 after its last value. */
  acc32(value: Told, scale = 0): this {
    const raw = present(value) ? Math.round(value / 10 ** scale) % 0x1_0000_0000 : 0;
    return this.#push(Math.floor(raw / 0x1_0000), raw % 0x1_0000);
  }

  uint64(value?: Told, scale = 0): this {
    if (!present(value)) return this.#push(0xffff, 0xffff, 0xffff, 0xffff);
    const raw = Math.round(value / 10 ** scale);
    const [high, low] = [Math.floor(raw / 0x1_0000_0000), raw % 0x1_0000_0000];
    return this.#push(Math.floor(high / 0x1_0000), high % 0x1_0000, Math.floor(low / 0x1_0000), low % 0x1_0000);
  }

  bits32(value = 0): this {
    return this.#push(Math.floor(value / 0x1_0000), value % 0x1_0000);
  }

  /** Two characters a register, zeros behind. */
  text(value: string, registers: number): this {
    for (let i = 0; i < registers; i++) {
      this.#push(((value.charCodeAt(2 * i) || 0) << 8) | (value.charCodeAt(2 * i + 1) || 0));
    }
    return this;
  }

  /** `count` points of 16 bits that this device does not have. */
  none(count: number, as: 'int16' | 'uint16' = 'uint16'): this {
    for (let i = 0; i < count; i++) this.#push(as === 'int16' ? 0x8000 : 0xffff);
    return this;
  }

  /** A model: its number, its length, then what `write` writes. */
  model(id: number, write: (words: Words) => Words): this {
    const body = write(new Words());
    return this.#push(id, body.length, ...body.#words);
  }

  #push(...words: readonly number[]): this {
    this.#words.push(...words);
    return this;
  }
}
