/**
 * Units: values that contradict each other by a whole factor. Thresholds: common practice, no source; wide, since only a
 * wrong unit is looked for, not a bad measurement.
 */
import type { QuantityKey } from '../quantities.ts';
import type { DecodedReading } from '../reading.ts';
import { failed, NEEDS_BYTES, passed, pending } from './subject.ts';
import type { Check } from './terms.ts';

const LEAST_W = 5;
const MOST_RATIO = 2;

type Finding = string | null | undefined;
const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;

const values = (readings: readonly DecodedReading[], key: QuantityKey): number[] =>
  readings.flatMap(({ quantities }) => quantities[key] ?? []);

/** Watts against volts × amperes; undefined where they were never told together. */
function product(
  readings: readonly DecodedReading[],
  power: QuantityKey,
  volts: QuantityKey,
  amps: QuantityKey,
): Finding {
  const ratios = readings.flatMap(({ quantities }) => {
    const watts = Math.abs(quantities[power] ?? 0);
    const expected = Math.abs((quantities[volts] ?? 0) * (quantities[amps] ?? 0));
    return watts > LEAST_W && expected > LEAST_W ? [watts / expected] : [];
  });
  if (ratios.length === 0) return undefined;
  const ratio = median(ratios);
  if (ratio >= 1 / MOST_RATIO && ratio <= MOST_RATIO) return null;
  return `${power} is ${Number(ratio.toPrecision(3))} × ${volts} × ${amps}: one of the three has a wrong scale`;
}

function within(readings: readonly DecodedReading[], key: QuantityKey, min: number, max: number): Finding {
  const running = values(readings, key).filter(value => value !== 0);
  if (running.length === 0) return undefined;
  const middle = median(running);
  return middle >= min && middle <= max ? null : `${key} is ${middle}, expected ${min} to ${max}: wrong scale?`;
}

function fraction(readings: readonly DecodedReading[]): Finding {
  const levels = values(readings, 'stateOfChargePct');
  if (levels.length === 0) return undefined;
  const broken = levels.some(level => level > 0 && level < 1) && levels.every(level => level <= 1);
  return broken ? 'stateOfChargePct never passes 1: it looks like a fraction, × 100 is missing' : null;
}

function part(readings: readonly DecodedReading[], share: QuantityKey, whole: QuantityKey): Finding {
  const pairs = readings.flatMap(({ quantities }) => {
    const [a, b] = [quantities[share], quantities[whole]];
    return typeof a === 'number' && typeof b === 'number' ? [[a, b] as const] : [];
  });
  if (pairs.length === 0) return undefined;
  const over = pairs.filter(([a, b]) => a > 3 * b + 20).length;
  return over * 2 > pairs.length ? `${share} is far more than ${whole}, of which it is a part` : null;
}

export function checkUnits(readings: readonly DecodedReading[]): Check {
  const name = 'units';
  if (readings.length === 0) return pending(name, NEEDS_BYTES);
  const findings: Finding[] = [
    product(readings, 'solarPowerW', 'solarVoltageV', 'solarCurrentA'),
    product(readings, 'solarPowerW.1', 'solarVoltageV.1', 'solarCurrentA.1'),
    product(readings, 'solarPowerW.2', 'solarVoltageV.2', 'solarCurrentA.2'),
    product(readings, 'batteryPowerW', 'batteryVoltageV', 'batteryCurrentA'),
    within(readings, 'acFrequencyHz', 40, 70),
    within(readings, 'acVoltageV', 80, 270),
    fraction(readings),
    part(readings, 'solarPowerW', 'inputPowerW'),
    part(readings, 'chargerPowerW', 'inputPowerW'),
    part(readings, 'acOutputPowerW', 'outputPowerW'),
    part(readings, 'dcOutputPowerW', 'outputPowerW'),
  ];
  const fault = findings.find(finding => typeof finding === 'string');
  if (typeof fault === 'string') return failed(name, fault);
  const compared = findings.filter(finding => finding === null).length;
  return passed(name, compared === 0 ? 'nothing to compare' : `${compared} comparisons hold`);
}
