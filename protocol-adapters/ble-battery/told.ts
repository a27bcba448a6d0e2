/** What one characteristic's value says, before it is checked: quantities as they are named, and states. */
import { decodeQuantities, judge, type PartReading, type QuantityKey, type Rejection, type States } from '#kit';

export interface Told {
  /** null: the station says that it does not know. */
  readonly quantities: { readonly [K in QuantityKey]?: number | null };
  readonly states: States;
}

/** null: the value is too short for what its flags announce. */
export type Decode = (value: Uint8Array) => Told | null;

export const nothing: Told = { quantities: {}, states: {} };

export const together = (parts: readonly Told[]): Told => ({
  quantities: Object.assign({}, ...parts.map(part => part.quantities)) as Told['quantities'],
  states: Object.assign({}, ...parts.map(part => part.states)) as States,
});

/** Checked against the table of quantities. */
export function readingOf({ quantities, states }: Told): PartReading {
  const checked = decodeQuantities(quantities);
  return { ...checked, states, quality: judge(checked.quantities, checked.reasons) };
}

export const tooShort = (what: string, value: Uint8Array): Rejection => ({
  rejected: 'malformed',
  detail: `${what}: ${value.length} bytes are too few for what it announces`,
});
