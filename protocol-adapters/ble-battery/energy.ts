/**
 * Battery Energy Status (2BF0): flags, then a medical float for each bit set, and Battery Time Status (2BEE): minutes as
 * 24 bits. What comes from outside and is not stored goes out: losses are counted there.
 */
import { readNumber } from '#kit';
import type { Decode, Told } from './told.ts';

/** In the order of the flags. Powers in W, energies in kWh; the charge rate is negative while discharging. */
const FIELDS = ['sourceW', 'voltageV', 'energyKwh', 'capacityKwh', 'chargeRateW', 'lastChargeKwh'] as const;
type Field = (typeof FIELDS)[number];

const FLOAT_BYTES = 2;

function fieldsOf(value: Uint8Array): Partial<Record<Field, number | null>> | null {
  const flags = readNumber(value, 0, 'u8');
  if (flags === undefined || flags === null) return null;
  const told: Partial<Record<Field, number | null>> = {};
  let at = 1;
  for (const [bit, field] of FIELDS.entries()) {
    if (((flags >> bit) & 1) === 0) continue;
    const number = readNumber(value, at, 'medfloat16');
    if (number === undefined) return null;
    told[field] = number;
    at += FLOAT_BYTES;
  }
  return told;
}

/** What goes out, from what comes in and what the battery takes of it (negative: gives to it). W. */
function outputW(
  sourceW: number | null | undefined,
  chargeRateW: number | null | undefined,
): number | null | undefined {
  if (sourceW === undefined || chargeRateW === undefined) return undefined;
  return sourceW === null || chargeRateW === null ? null : Math.max(0, sourceW - chargeRateW);
}

export const energyStatus: Decode = value => {
  const told = fieldsOf(value);
  if (told === null) return null;
  const { sourceW, voltageV, energyKwh, chargeRateW } = told;
  const outputPowerW = outputW(sourceW, chargeRateW);
  const quantities: Told['quantities'] = {
    ...(sourceW === undefined ? {} : { inputPowerW: sourceW }),
    ...(outputPowerW === undefined ? {} : { outputPowerW }),
    ...(chargeRateW === undefined ? {} : { batteryPowerW: chargeRateW }),
    ...(voltageV === undefined ? {} : { batteryVoltageV: voltageV }),
    ...(energyKwh === undefined ? {} : { availableEnergyWh: energyKwh === null ? null : energyKwh * 1000 }),
  };
  return { quantities, states: {} };
};

/** The highest two values: unknown, and more than can be told. */
const UNTOLD = 0xfffffe;
const minutes = (raw: number | null | undefined): number | null =>
  raw === undefined || raw === null || raw >= UNTOLD ? null : raw;

export const timeStatus: Decode = value => {
  const flags = readNumber(value, 0, 'u8');
  const toEmpty = readNumber(value, 1, 'u24');
  if (flags === undefined || flags === null || toEmpty === undefined) return null;
  const empty = { statedMinutesToEmpty: minutes(toEmpty) };
  if ((flags & 2) === 0) return { quantities: empty, states: {} };
  const toFull = readNumber(value, (flags & 1) === 0 ? 4 : 7, 'u24');
  return toFull === undefined ? null : { quantities: { ...empty, statedMinutesToFull: minutes(toFull) }, states: {} };
};
