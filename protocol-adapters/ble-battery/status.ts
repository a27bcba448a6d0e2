/**
 * Battery Level (2A19) and Battery Level Status (2BED) of the Bluetooth SIG's Battery Service 1.1: the level in percent,
 * and which way the energy goes. Offsets and bits from the SIG's public assigned-numbers data.
 */
import { readNumber } from '#kit';
import type { Decode, Told } from './told.ts';

const FLAG = { identifier: 1, level: 2 } as const;

/** Which way the battery's energy goes; null where it is not told. */
export type Flow = 'in' | 'out' | 'none' | null;

/** Bits 5 and 6 of the power state. 3 is "discharging, inactive": next to nothing flows. */
const FLOWS: readonly Flow[] = [null, 'in', 'out', 'none'];

const FAULTS = ['its battery', 'the external source', 'something else'];

export const level: Decode = value => {
  const stateOfChargePct = readNumber(value, 0, 'u8');
  return stateOfChargePct === undefined ? null : { quantities: { stateOfChargePct }, states: {} };
};

const powerState = (value: Uint8Array): number | null => readNumber(value, 1, 'u16') ?? null;

export function flow(value: Uint8Array): Flow {
  const state = powerState(value);
  return state === null ? null : (FLOWS[(state >> 5) & 3] ?? null);
}

/** The station's own words for a fault, or null. */
function fault(state: number): string | null {
  if ((state & 1) === 0) return 'no battery is in place';
  const told = FAULTS.filter((_, i) => ((state >> (12 + i)) & 1) === 1);
  return told.length === 0 ? null : `a fault in ${told.join(', ')}`;
}

export const levelStatus: Decode = value => {
  const flags = readNumber(value, 0, 'u8');
  const state = powerState(value);
  if (flags === undefined || flags === null || state === null) return null;
  const words = fault(state);
  const states: Told['states'] = words === null ? {} : { fault: words };
  if ((flags & FLAG.level) === 0) return { quantities: {}, states };
  const at = (flags & FLAG.identifier) === 0 ? 3 : 5;
  const stateOfChargePct = readNumber(value, at, 'u8');
  return stateOfChargePct === undefined ? null : { quantities: { stateOfChargePct }, states };
};
