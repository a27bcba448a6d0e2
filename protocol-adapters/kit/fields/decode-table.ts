/**
 * Reads a frame by its table. Every value is checked against the table of quantities, as if a stranger had sent it.
 */
import { decodeQuantities, judge } from '../decode-quantities.ts';
import { decodeStates } from '../decode-states.ts';
import { WattkeepError } from '../errors.ts';
import type { DecodedReading, Rejection } from '../reading.ts';
import { type ByteOrder, readDigits, readNumber } from './numbers.ts';
import type { FaultField, Field, FieldTable, Place, QuantityField } from './table.ts';
import { tableFault } from './table-fault.ts';

/** Digits a double holds whatever its size: takes away what 3 × 0.1 leaves behind. */
const SIGNIFICANT = 15;

const malformed = (detail: string): Rejection => ({ rejected: 'malformed', detail });
const hex = (byte: number | undefined): string => `0x${(byte ?? 0).toString(16).padStart(2, '0')}`;

/** The raw number: null where the station does not know, undefined where the frame ends before it. */
function rawAt(frame: Uint8Array, place: Place, tableOrder: ByteOrder | undefined): number | null | undefined {
  const { at, type, bytes = 0, mask, notAvailable } = place;
  const order = place.order ?? tableOrder;
  const spelled = type === 'bcd' || type === 'ascii';
  let raw = spelled ? readDigits(frame, at, bytes, type, order) : readNumber(frame, at, type, order);
  if (typeof raw !== 'number') return raw;
  // The lowest bit of a mask is `mask & -mask`.
  if (mask !== undefined) raw = ((raw & mask) >>> 0) / ((mask & -mask) >>> 0);
  return notAvailable?.includes(raw) ? null : raw;
}

function inUnit(raw: number | null, { scale = 1, add = 0 }: QuantityField): number | null {
  return raw === null ? null : Number((raw * scale + add).toPrecision(SIGNIFICANT));
}

function faultOf(raw: number, { words, eachBit }: FaultField): string | undefined {
  if (eachBit !== true) return words[raw];
  const set = Object.keys(words).filter(bit => Math.floor(raw / 2 ** Number(bit)) % 2 === 1);
  return set.length === 0 ? undefined : set.map(bit => words[Number(bit)]).join(', ');
}

function stateOf(raw: number | null, field: Exclude<Field, QuantityField>): unknown {
  if (field.state === 'fault') return raw === null ? undefined : faultOf(raw, field);
  if (raw === null || Number.isNaN(raw)) return 'unknown';
  return field.words === undefined ? raw !== 0 : (field.words[raw] ?? 'unknown');
}

/** Why a frame is none of this table, or null. */
function mismatch(frame: Uint8Array, { minBytes, maxBytes, constants = [] }: FieldTable): Rejection | null {
  if (frame.length < minBytes || frame.length > (maxBytes ?? frame.length)) {
    const wanted = maxBytes === undefined ? `at least ${minBytes}` : `${minBytes} to ${maxBytes}`;
    return malformed(`${frame.length} bytes, ${wanted} expected`);
  }
  const wrong = constants.find(({ at, is }) => frame[at] !== is);
  return wrong === undefined ? null : malformed(`byte ${wrong.at} is ${hex(frame[wrong.at])}, not ${hex(wrong.is)}`);
}

/** What a frame says by its table. Pure. The table must be without fault. */
export function decodeTable(table: FieldTable, frame: Uint8Array): DecodedReading | Rejection {
  const refused = mismatch(frame, table);
  if (refused !== null) return refused;
  const values: Record<string, number | null> = {};
  const words: Record<string, unknown> = {};
  for (const field of table.fields) {
    const raw = rawAt(frame, field, table.order);
    if (raw === undefined) continue;
    if ('gives' in field) values[field.gives] = inUnit(raw, field);
    else words[field.state] = stateOf(raw, field);
  }
  const { quantities, reasons, known } = decodeQuantities(values);
  // A frame of states alone has no value that could be bad.
  const quality = known === 0 ? 'good' : judge(quantities, reasons);
  return { quantities, states: decodeStates(words), quality, reasons };
}

/**
 * The decode function of a table. Throws ADAPTER_TABLE where the table has a fault, so that it is told when the adapter
 * is loaded and not at the first frame.
 */
export function tableDecoder(table: FieldTable): (frame: Uint8Array) => DecodedReading | Rejection {
  const fault = tableFault(table);
  if (fault !== null) throw new WattkeepError('ADAPTER_TABLE', `the table of fields: ${fault}`, 'Mend the table.');
  return frame => decodeTable(table, frame);
}
