/** A frame field by field, for whoever writes the table: what stands where, and what it was taken for. */
import type { QuantityName } from '../quantities.ts';
import { inUnit, rawAt, stateOf } from './field-value.ts';
import type { FieldTable } from './table.ts';

export interface ToldField {
  /** The quantity or state. */
  readonly name: string;
  /** Bytes from the front of the frame. */
  readonly at: number;
  /** As it stands there, after its mask; null where the station does not know, or where the frame ends before it. */
  readonly raw: number | null;
  readonly value: number | string | boolean | null;
}

/** Every field of the table, as the frame has it. Pure. */
export const toldFields = (table: FieldTable, frame: Uint8Array): ToldField[] =>
  table.fields.map(field => {
    const raw = rawAt(frame, field, table.order) ?? null;
    const name = 'gives' in field ? field.gives : field.state;
    const value = 'gives' in field ? inUnit(raw, field) : raw === null ? null : stateOf(raw, field);
    return { name, at: field.at, raw, value: (value ?? null) as ToldField['value'] };
  });

/** The quantities that a table gives, each once: what its manifest names. */
export const tableGives = (table: FieldTable): QuantityName[] => [
  ...new Set(
    table.fields.flatMap(field => ('gives' in field ? [field.gives.replace(/\.\d+$/, '') as QuantityName] : [])),
  ),
];
