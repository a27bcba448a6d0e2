/**
 * Numbers as they stand in a frame. null: the source says that it does not know; undefined: the frame ends before it;
 * NaN: bytes that are no number of that kind.
 */

/** `medfloat16`, `medfloat32`: SFLOAT and FLOAT of ISO/IEEE 11073-20601, as Bluetooth uses them. */
export type NumberType =
  | 'u8'
  | 'i8'
  | 'u16'
  | 'i16'
  | 'u24'
  | 'i24'
  | 'u32'
  | 'i32'
  | 'u64'
  | 'i64'
  | 'f32'
  | 'f64'
  | 'medfloat16'
  | 'medfloat32';

/** `swapped`: bytes high first within a 16-bit word, words low first, as some Modbus devices send 32 bits. */
export type ByteOrder = 'little' | 'big' | 'swapped';

export const NUMBER_BYTES: Readonly<Record<NumberType, number>> = {
  u8: 1,
  i8: 1,
  u16: 2,
  i16: 2,
  u24: 3,
  i24: 3,
  u32: 4,
  i32: 4,
  u64: 8,
  i64: 8,
  f32: 4,
  f64: 8,
  medfloat16: 2,
  medfloat32: 4,
};

/** The bytes of a number, high byte first. */
function highFirst(bytes: Uint8Array, at: number, size: number, order: ByteOrder): Uint8Array {
  // A copy: `slice` of Node's own kind of bytes would be the frame itself, and turning it round would change it.
  const part = new Uint8Array(bytes.subarray(at, at + size));
  if (order === 'big') return part;
  part.reverse();
  if (order === 'little') return part;
  for (let i = 0; i + 1 < size; i += 2) [part[i], part[i + 1]] = [part[i + 1]!, part[i]!];
  return part;
}

const unsigned = (bytes: Uint8Array): number => bytes.reduce((value, byte) => value * 256 + byte, 0);
const signed = (value: number, bits: number): number => (value >= 2 ** (bits - 1) ? value - 2 ** bits : value);
/** A division rounds once, a product with a negative power of ten twice. */
const decimal = (mantissa: number, exponent: number): number =>
  exponent < 0 ? mantissa / 10 ** -exponent : mantissa * 10 ** exponent;
const orNull = (value: number): number | null => (Number.isNaN(value) ? null : value);

/** 4-bit exponent to ten, 12-bit mantissa, both signed. 07FF is no number, 0800 not at this resolution, 0801 reserved. */
function medfloat16(raw: number): number | null {
  if (raw === 0x07ff || raw === 0x0800 || raw === 0x0801) return null;
  if (raw === 0x07fe) return Number.POSITIVE_INFINITY;
  if (raw === 0x0802) return Number.NEGATIVE_INFINITY;
  return decimal(signed(raw & 0xfff, 12), signed(raw >>> 12, 4));
}

/** 8-bit exponent to ten, 24-bit mantissa, both signed; its special values as above, 24 bits wide. */
function medfloat32(raw: number): number | null {
  if (raw === 0x007fffff || raw === 0x00800000 || raw === 0x00800001) return null;
  if (raw === 0x007ffffe) return Number.POSITIVE_INFINITY;
  if (raw === 0x00800002) return Number.NEGATIVE_INFINITY;
  return decimal(signed(raw & 0xffffff, 24), signed(raw >>> 24, 8));
}

/**
 * The number at byte `at`. A float that is not a number is null. Whole numbers are exact to 2^53; beyond it, to 53 bits.
 */
export function readNumber(
  bytes: Uint8Array,
  at: number,
  type: NumberType,
  order: ByteOrder = 'little',
): number | null | undefined {
  const size = NUMBER_BYTES[type];
  if (at < 0 || at + size > bytes.length) return undefined;
  const part = highFirst(bytes, at, size, order);
  const view = new DataView(part.buffer);
  switch (type) {
    case 'f32':
      return orNull(view.getFloat32(0));
    case 'f64':
      return orNull(view.getFloat64(0));
    case 'u64':
      return Number(view.getBigUint64(0));
    case 'i64':
      return Number(view.getBigInt64(0));
    case 'medfloat16':
      return medfloat16(unsigned(part));
    case 'medfloat32':
      return medfloat32(unsigned(part));
    case 'i8':
    case 'i16':
    case 'i24':
    case 'i32':
      return signed(unsigned(part), size * 8);
    default:
      return unsigned(part);
  }
}

/** `bcd`: two digits a byte, the high one first. `ascii`: digits as text, with sign and point, padded with blanks or zeros. */
export type DigitsType = 'bcd' | 'ascii';

/** The number that `count` bytes from `at` spell; text of nothing but blanks is null. */
export function readDigits(
  bytes: Uint8Array,
  at: number,
  count: number,
  type: DigitsType,
  order: ByteOrder = 'big',
): number | null | undefined {
  if (at < 0 || at + count > bytes.length) return undefined;
  if (type === 'bcd') {
    const digits = [...highFirst(bytes, at, count, order)].flatMap(byte => [byte >>> 4, byte & 15]);
    return digits.some(digit => digit > 9) ? Number.NaN : Number(digits.join(''));
  }
  const text = String.fromCharCode(...bytes.subarray(at, at + count)).replace(/[\0 ]+$|^ +/g, '');
  if (text === '') return null;
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : Number.NaN;
}
