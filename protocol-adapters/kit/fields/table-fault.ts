/**
 * What is wrong with a table of fields, in words its author can act on. Fields may overlap: one byte often holds
 * several things.
 */
import { decodeStates } from '../decode-states.ts';
import { nearestName } from '../nearest.ts';
import { isQuantityKey, QUANTITIES } from '../quantities.ts';
import { NUMBER_BYTES } from './numbers.ts';
import type { Field, FieldTable, Place } from './table.ts';

const MAX_BYTES = 65_536;
const MAX_DIGIT_BYTES = 16;
const ORDERS: readonly unknown[] = ['little', 'big', 'swapped'];
const TYPES = [...Object.keys(NUMBER_BYTES), 'bcd', 'ascii'];
const STATES = ['acOutletsOn', 'dcOutletsOn', 'onMains', 'inputLimitedBy', 'inputSource', 'fault'];
const MASKED = ['u8', 'u16', 'u24', 'u32'];

const isWhole = (value: unknown, min: number, max: number): value is number =>
  Number.isInteger(value) && (value as number) >= min && (value as number) <= max;
const isNumber = (value: unknown): boolean => value === undefined || Number.isFinite(value);

function meant(written: unknown, known: readonly string[]): string {
  const near = typeof written === 'string' ? nearestName(written, known) : null;
  return near === null ? `one of ${known.slice(0, 6).join(', ')} …` : `did you mean ${near}`;
}

/** Bytes a place takes; 0 where its type says nothing of it. */
export const placeBytes = ({ type, bytes }: Place): number =>
  type === 'bcd' || type === 'ascii' ? (bytes ?? 0) : NUMBER_BYTES[type];

function placeFault(place: Place, { minBytes }: FieldTable): string | null {
  const { at, type, bytes, order, mask, notAvailable, optional } = place;
  if (!TYPES.includes(type)) return `its type "${String(type)}" is not known; ${meant(type, TYPES)}`;
  const spelled = type === 'bcd' || type === 'ascii';
  if (spelled && !isWhole(bytes, 1, MAX_DIGIT_BYTES)) return `${type} needs bytes, 1 to ${MAX_DIGIT_BYTES}`;
  if (!spelled && bytes !== undefined) return `bytes is for bcd and ascii; ${type} is always ${NUMBER_BYTES[type]}`;
  if (!isWhole(at, 0, MAX_BYTES)) return 'at must be a whole number of bytes from the front, 0 up';
  const size = placeBytes(place);
  if (at + size > minBytes && optional !== true) {
    return `its bytes ${at} to ${at + size - 1} lie beyond minBytes (${minBytes}): raise that, or say optional`;
  }
  if (order !== undefined && !ORDERS.includes(order)) return 'order is little, big or swapped';
  if (order === 'swapped' && size % 2 !== 0) return `swapped is an order of 16-bit words; ${type} has none`;
  if (notAvailable !== undefined && !(Array.isArray(notAvailable) && notAvailable.every(Number.isFinite))) {
    return 'notAvailable lists raw numbers';
  }
  if (mask === undefined) return null;
  if (!MASKED.includes(type)) return `a mask needs an unsigned type of 32 bits at most, not ${type}`;
  return isWhole(mask, 1, 2 ** (size * 8) - 1) ? null : `its mask has no bit within ${type}`;
}

function meaningFault(field: Field): string | null {
  if ('gives' in field) {
    const { gives, scale, add } = field;
    if (!isQuantityKey(gives)) {
      return `"${String(gives)}" is no quantity; ${meant(gives, Object.keys(QUANTITIES))}`;
    }
    if (!isNumber(scale) || scale === 0) return 'scale must be a number other than 0';
    return isNumber(add) ? null : 'add must be a number';
  }
  const { state, words } = field;
  if (!STATES.includes(state)) return `it gives neither a quantity nor a known state; ${meant(state, STATES)}`;
  if (words === undefined) {
    return state === 'fault' || state === 'inputLimitedBy' || state === 'inputSource' ? 'words is missing' : null;
  }
  for (const [raw, word] of Object.entries(words)) {
    if (!Number.isFinite(Number(raw))) return `words: "${raw}" is no raw number`;
    if (decodeStates({ [state]: word })[state] !== word) return `words: ${String(word)} is no word of ${state}`;
  }
  return null;
}

/** What is wrong with a table, or null. */
export function tableFault(table: FieldTable): string | null {
  const { minBytes, maxBytes, order, constants = [], fields } = table;
  if (!isWhole(minBytes, 1, MAX_BYTES)) return `minBytes must be 1 to ${MAX_BYTES}`;
  if (maxBytes !== undefined && !isWhole(maxBytes, minBytes, MAX_BYTES)) return 'maxBytes is below minBytes';
  if (order !== undefined && !ORDERS.includes(order)) return 'order is little, big or swapped';
  for (const { at, is } of constants) {
    if (!isWhole(at, 0, minBytes - 1)) return `the constant at ${at} lies beyond minBytes (${minBytes})`;
    if (!isWhole(is, 0, 255)) return `the constant at ${at} must be a byte, 0 to 255`;
  }
  if (!Array.isArray(fields) || fields.length === 0) return 'fields lists nothing';
  const given = new Set<string>();
  for (const [i, field] of fields.entries()) {
    const name = 'gives' in field ? field.gives : field.state;
    const merged = { ...field, order: field.order ?? (placeBytes(field) % 2 === 0 ? order : undefined) } as Field;
    const fault = meaningFault(field) ?? placeFault(merged, table);
    if (fault !== null) return `field ${i + 1} (${String(name)}): ${fault}`;
    if (given.has(name)) return `field ${i + 1}: ${name} is given twice`;
    given.add(name);
  }
  return null;
}
