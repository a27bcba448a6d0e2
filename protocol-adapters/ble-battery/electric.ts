/**
 * Power (2B05, 0.1 W), Voltage (2B18, 1/64 V) and Electric Current (2AEE, 0.01 A) where a battery service carries them:
 * sizes without a sign, so that the battery's own power and current are told only while its status says which way the
 * energy goes.
 */
import { readNumber } from '#kit';
import type { Flow } from './status.ts';
import type { Decode, Told } from './told.ts';

const INVALID_POWER = 0xfffffe;
const UNKNOWN_16 = 0xffff;

export const voltage: Decode = value => {
  const raw = readNumber(value, 0, 'u16');
  if (raw === undefined || raw === null) return null;
  return { quantities: { batteryVoltageV: raw === UNKNOWN_16 ? null : raw / 64 }, states: {} };
};

const signed = (size: number, flow: Flow): number => (flow === 'in' ? size : flow === 'out' ? -size : 0);

/** Nothing where the direction is not known. */
export function power(value: Uint8Array, flow: Flow): Told | null {
  const raw = readNumber(value, 0, 'u24');
  if (raw === undefined || raw === null) return null;
  if (flow === null) return { quantities: {}, states: {} };
  return { quantities: { batteryPowerW: raw >= INVALID_POWER ? null : signed(raw / 10, flow) }, states: {} };
}

export function current(value: Uint8Array, flow: Flow): Told | null {
  const raw = readNumber(value, 0, 'u16');
  if (raw === undefined || raw === null) return null;
  if (flow === null) return { quantities: {}, states: {} };
  return { quantities: { batteryCurrentA: raw === UNKNOWN_16 ? null : signed(raw / 100, flow) }, states: {} };
}
