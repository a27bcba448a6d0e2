/**
 * From the values a source sent to quantities that may be trusted: each is checked against the table, and what is
 * refused becomes null with a reason, never a clamp and never the last value again. Names the table does not know are
 * ignored, so a hostile key (`__proto__`, `constructor`) has no effect.
 */
import { type QuantityKey, quantityRow } from './quantities.ts';
import type { Quality, Quantities, ReasonCode, Reasons } from './reading.ts';

export interface CheckedQuantities {
  quantities: Quantities;
  reasons: Reasons;
  /** Known names found, whether or not their value was taken. */
  known: number;
}

/** Why a value cannot be that quantity, or null where it can. */
export function refusal(value: unknown, min: number, max: number): ReasonCode | null {
  if (value === null) return 'notAvailable';
  if (typeof value !== 'number' || Number.isNaN(value)) return 'wrongType';
  return value < min || value > max ? 'outOfRange' : null;
}

/** Reads every known quantity of `source` (own keys only). */
export function decodeQuantities(source: object): CheckedQuantities {
  const quantities: Quantities = {};
  const reasons: Reasons = {};
  let known = 0;
  for (const key of Object.keys(source)) {
    const row = quantityRow(key);
    if (row === undefined) continue;
    const name = key as QuantityKey;
    const value: unknown = (source as Record<string, unknown>)[key];
    const reason = refusal(value, row.min, row.max);
    known += 1;
    if (reason === null) {
      // Adding zero turns -0 into 0.
      quantities[name] = (value as number) + 0;
    } else {
      quantities[name] = null;
      reasons[name] = reason;
    }
  }
  return { quantities, reasons, known };
}

/**
 * `bad`: not one value is usable. `uncertain`: some value was refused, so the frame or its units are in doubt.
 * `good`: all that was given is plausible. A source that says it does not know a value is not in doubt.
 */
export function judge(quantities: Quantities, reasons: Reasons): Quality {
  if (!Object.values(quantities).some(value => value !== null)) return 'bad';
  const doubted = Object.values(reasons).some(r => r === 'outOfRange' || r === 'wrongType' || r === 'inconsistent');
  return doubted ? 'uncertain' : 'good';
}
