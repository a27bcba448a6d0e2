/**
 * Fills in what follows from what was given, and nothing else: sums of parts, and the split of the battery's power
 * where a station tells nothing more. Watts; battery power positive while charging. A part that is missing makes its
 * sum missing, with the part's reason.
 */
import { MAX_PORT, type QuantityKey } from './quantities.ts';
import type { DecodedReading, ReasonCode } from './reading.ts';

const has = (reading: DecodedReading, key: QuantityKey): boolean => reading.quantities[key] !== undefined;

function setSum(reading: DecodedReading, total: QuantityKey, parts: readonly QuantityKey[]): void {
  const given = parts.filter(part => has(reading, part));
  if (has(reading, total) || given.length === 0) return;
  let sum = 0;
  for (const part of given) {
    const value = reading.quantities[part];
    if (value === null || value === undefined) {
      setMissing(reading, total, reading.reasons[part]);
      return;
    }
    sum += value;
  }
  reading.quantities[total] = sum;
}

function setMissing(reading: DecodedReading, key: QuantityKey, reason: ReasonCode = 'notGiven'): void {
  reading.quantities[key] = null;
  reading.reasons[key] = reason;
}

const SOLAR_PORTS = Array.from({ length: MAX_PORT }, (_, i): QuantityKey => `solarPowerW.${i + 1}`);

function splitBatteryPower(reading: DecodedReading): void {
  const batteryPowerW = reading.quantities.batteryPowerW;
  if (batteryPowerW === undefined || has(reading, 'inputPowerW') || has(reading, 'outputPowerW')) return;
  if (batteryPowerW === null) {
    setMissing(reading, 'inputPowerW', reading.reasons.batteryPowerW);
    setMissing(reading, 'outputPowerW', reading.reasons.batteryPowerW);
    return;
  }
  reading.quantities.inputPowerW = Math.max(0, batteryPowerW);
  reading.quantities.outputPowerW = Math.max(0, -batteryPowerW);
}

/**
 * All input is solar only where the source of the input is known to be the sun and nothing else comes in. Changes
 * `reading`; called again once the owner's word for the source of the input is known.
 */
export function attributeInput(reading: DecodedReading): void {
  const { inputPowerW, chargerPowerW } = reading.quantities;
  if (reading.states.inputSource !== 'sun' || has(reading, 'solarPowerW') || inputPowerW === undefined) return;
  if (chargerPowerW !== undefined && chargerPowerW !== 0) return;
  if (inputPowerW === null) setMissing(reading, 'solarPowerW', reading.reasons.inputPowerW);
  else reading.quantities.solarPowerW = inputPowerW;
}

/** The three every station owes; a meter or a sensor, which gives none of them, owes nothing. */
const REQUIRED = ['stateOfChargePct', 'inputPowerW', 'outputPowerW'] as const;

/** A new reading with everything that follows from `decoded`, and a reason for each required value it lacks. */
export function complete(decoded: DecodedReading): DecodedReading {
  const reading: DecodedReading = {
    ...decoded,
    quantities: { ...decoded.quantities },
    reasons: { ...decoded.reasons },
  };
  setSum(reading, 'solarPowerW', SOLAR_PORTS);
  setSum(reading, 'inputPowerW', ['solarPowerW', 'chargerPowerW']);
  setSum(reading, 'outputPowerW', ['acOutputPowerW', 'dcOutputPowerW']);
  splitBatteryPower(reading);
  attributeInput(reading);
  if (REQUIRED.some(key => has(reading, key))) {
    for (const key of REQUIRED) if (!has(reading, key)) setMissing(reading, key);
  }
  return reading;
}
