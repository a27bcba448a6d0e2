/**
 * How SunSpec writes numbers into registers: types, the values that say "not implemented", and scale factors that are
 * powers of ten in registers of their own (SunSpec Device Information Model Specification, section on point types).
 * Offsets count registers from the model's id.
 */

export type PointType = 'int16' | 'uint16' | 'uint32' | 'acc32' | 'uint64' | 'enum16';

export interface Point {
  readonly at: number;
  readonly type: PointType;
  /** Where its scale factor stands; left out where it has none. */
  readonly scaleAt?: number;
}

export const int16 = (at: number, scaleAt: number): Point => ({ at, type: 'int16', scaleAt });
export const uint16 = (at: number, scaleAt: number): Point => ({ at, type: 'uint16', scaleAt });
export const uint32 = (at: number, scaleAt: number): Point => ({ at, type: 'uint32', scaleAt });
export const acc32 = (at: number, scaleAt: number): Point => ({ at, type: 'acc32', scaleAt });
export const uint64 = (at: number, scaleAt: number): Point => ({ at, type: 'uint64', scaleAt });
export const enum16 = (at: number): Point => ({ at, type: 'enum16' });

const REGISTERS = { int16: 1, uint16: 1, enum16: 1, uint32: 2, acc32: 2, uint64: 4 } as const;
const NOT_IMPLEMENTED_SF = -0x8000;
/** The specification's own range. */
const MAX_EXPONENT = 10;

/** The raw number, or null where the device says that it has none. */
function raw(view: DataView, { at, type }: Point): number | null {
  const byte = 2 * at;
  switch (type) {
    case 'int16': {
      const value = view.getInt16(byte);
      return value === -0x8000 ? null : value;
    }
    case 'uint16':
    case 'enum16': {
      const value = view.getUint16(byte);
      return value === 0xffff ? null : value;
    }
    case 'uint32': {
      const value = view.getUint32(byte);
      return value === 0xffff_ffff ? null : value;
    }
    case 'acc32':
      return view.getUint32(byte) || null;
    case 'uint64': {
      const value = view.getBigUint64(byte);
      return value === 0xffff_ffff_ffff_ffffn ? null : Number(value);
    }
  }
}

/**
 * A point's value in its unit; null: the device says it has none; undefined: the block is too short to hold it. A scale
 * factor that is out of the specification's range gives NaN, which no quantity takes.
 *
 * @param shift registers added to `at` but not to `scaleAt`: repeated groups share one scale
 */
export function pointValue(view: DataView, point: Point, shift = 0): number | null | undefined {
  const at = point.at + shift;
  if (2 * (at + REGISTERS[point.type]) > view.byteLength) return undefined;
  const value = raw(view, { ...point, at });
  if (value === null || point.scaleAt === undefined || 2 * (point.scaleAt + 1) > view.byteLength) return value;
  const exponent = view.getInt16(2 * point.scaleAt);
  if (exponent === NOT_IMPLEMENTED_SF) return value;
  if (Math.abs(exponent) > MAX_EXPONENT) return Number.NaN;
  // Divided rather than multiplied by a fraction: 123 × 10⁻¹ is 12.3 and not 12.3000…1.
  return exponent < 0 ? value / 10 ** -exponent : value * 10 ** exponent;
}
