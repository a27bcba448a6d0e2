/**
 * Reads a frame by its table. Every value is checked against the table of quantities, as if a stranger had sent it.
 */
import { decodeQuantities, judge } from '../decode-quantities.ts';
import { decodeStates } from '../decode-states.ts';
import { WattkeepError } from '../errors.ts';
import type { DecodedReading, Rejection } from '../reading.ts';
import { inUnit, rawAt, stateOf } from './field-value.ts';
import type { FieldTable } from './table.ts';
import { tableFault } from './table-fault.ts';

const malformed = (detail: string): Rejection => ({ rejected: 'malformed', detail });
const hex = (byte: number | undefined): string => `0x${(byte ?? 0).toString(16).padStart(2, '0')}`;

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

/** It carries its table, so that the workbench can show each field. */
export type TableDecoder = ((frame: Uint8Array) => DecodedReading | Rejection) & { readonly table: FieldTable };

/**
 * The decode function of a table. Throws ADAPTER_TABLE where the table has a fault, so that it is told when the adapter
 * is loaded and not at the first frame.
 */
export function tableDecoder(table: FieldTable): TableDecoder {
  const fault = tableFault(table);
  if (fault !== null) throw new WattkeepError('ADAPTER_TABLE', `the table of fields: ${fault}`, 'Mend the table.');
  return Object.assign((frame: Uint8Array) => decodeTable(table, frame), { table });
}
