/** One field of a frame: its raw number, then what that means. */
import { type ByteOrder, readDigits, readNumber } from './numbers.ts';
import type { FaultField, Field, Place, QuantityField } from './table.ts';

/** Digits a double holds whatever its size: takes away what 3 × 0.1 leaves behind. */
const SIGNIFICANT = 15;

/** The raw number: null where the station does not know, undefined where the frame ends before it. */
export function rawAt(frame: Uint8Array, place: Place, tableOrder: ByteOrder | undefined): number | null | undefined {
  const { at, type, bytes = 0, mask, notAvailable } = place;
  const order = place.order ?? tableOrder;
  const spelled = type === 'bcd' || type === 'ascii';
  let raw = spelled ? readDigits(frame, at, bytes, type, order) : readNumber(frame, at, type, order);
  if (typeof raw !== 'number') return raw;
  // The lowest bit of a mask is `mask & -mask`.
  if (mask !== undefined) raw = ((raw & mask) >>> 0) / ((mask & -mask) >>> 0);
  return notAvailable?.includes(raw) ? null : raw;
}

/** In the quantity's unit. */
export function inUnit(raw: number | null, { scale = 1, add = 0 }: QuantityField): number | null {
  return raw === null ? null : Number((raw * scale + add).toPrecision(SIGNIFICANT));
}

function faultOf(raw: number, { words, eachBit }: FaultField): string | undefined {
  if (eachBit !== true) return words[raw];
  const set = Object.keys(words).filter(bit => Math.floor(raw / 2 ** Number(bit)) % 2 === 1);
  return set.length === 0 ? undefined : set.map(bit => words[Number(bit)]).join(', ');
}

/** The word or state, before it is held against what the kit knows. */
export function stateOf(raw: number | null, field: Exclude<Field, QuantityField>): unknown {
  if (field.state === 'fault') return raw === null ? undefined : faultOf(raw, field);
  if (raw === null || Number.isNaN(raw)) return 'unknown';
  return field.words === undefined ? raw !== 0 : (field.words[raw] ?? 'unknown');
}
