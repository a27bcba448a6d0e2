/**
 * The one table of everything a source may tell: name, unit, plausible range and the step it is stored at.
 *
 * Signs: power is never negative at a port; `batteryPowerW` and `batteryCurrentA` are positive while charging.
 * A value outside its range is evidence of a fault, not a measurement: it becomes null with a reason, never a clamp.
 * The ranges are wide on purpose (common practice, no source): they catch a wrong byte order, not an odd station.
 */

export interface QuantityRow {
  /** Unit as it is written after the number. */
  readonly unit: 'W' | '%' | 'V' | 'A' | '°C' | 'min' | 'Wh' | 'Hz' | 'W/m²';
  readonly min: number;
  readonly max: number;
  /** Step of the stored integer: stored = round(value / step). */
  readonly step: number;
  /** Plain words for the screen. */
  readonly label: string;
  /** True where a station may tell it once per input port, as `name.1`, `name.2`. */
  readonly perPort?: true;
  /** True for a running total that only goes up. */
  readonly counter?: true;
}

const POWER_MAX_W = 20_000;
const power = (label: string) => ({ unit: 'W', min: 0, max: POWER_MAX_W, step: 0.1, label }) as const;
const counter = (label: string) => ({ unit: 'Wh', min: 0, max: 1e9, step: 0.1, label, counter: true }) as const;

export const QUANTITIES = {
  solarPowerW: { ...power('coming in from the sun'), perPort: true },
  chargerPowerW: power('coming in from wall or vehicle'),
  inputPowerW: power('coming in'),
  acOutputPowerW: power('going out, AC'),
  dcOutputPowerW: power('going out, DC'),
  outputPowerW: power('going out'),
  stateOfChargePct: { unit: '%', min: 0, max: 100, step: 0.1, label: 'state of charge' },
  batteryVoltageV: { unit: 'V', min: 0, max: 1000, step: 0.01, label: 'battery voltage' },
  batteryCurrentA: { unit: 'A', min: -1000, max: 1000, step: 0.01, label: 'battery current' },
  batteryTempC: { unit: '°C', min: -50, max: 120, step: 0.1, label: 'battery temperature' },
  batteryPowerW: { unit: 'W', min: -POWER_MAX_W, max: POWER_MAX_W, step: 0.1, label: 'battery power' },
  solarVoltageV: { unit: 'V', min: 0, max: 1000, step: 0.01, label: 'panel voltage', perPort: true },
  solarCurrentA: { unit: 'A', min: 0, max: 500, step: 0.01, label: 'panel current', perPort: true },
  statedMinutesToEmpty: { unit: 'min', min: 0, max: 60_000, step: 1, label: "the station's own time to empty" },
  statedMinutesToFull: { unit: 'min', min: 0, max: 60_000, step: 1, label: "the station's own time to full" },
  availableEnergyWh: { unit: 'Wh', min: 0, max: 1e6, step: 0.1, label: 'energy left' },
  stateOfHealthPct: { unit: '%', min: 0, max: 110, step: 0.1, label: 'state of health' },
  acVoltageV: { unit: 'V', min: 0, max: 300, step: 0.1, label: 'outlet voltage' },
  acFrequencyHz: { unit: 'Hz', min: 0, max: 70, step: 0.01, label: 'outlet frequency' },
  solarEnergyWh: counter("the station's own count from the sun"),
  inputEnergyWh: counter("the station's own count of input"),
  chargerEnergyWh: counter("the station's own count from wall or vehicle"),
  outputEnergyWh: counter("the station's own count of output"),
  meterPowerW: power('meter power'),
  meterEnergyWh: counter('meter count'),
  planeOfArrayWm2: { unit: 'W/m²', min: 0, max: 2000, step: 0.1, label: 'plane-of-array irradiance' },
  airTempC: { unit: '°C', min: -60, max: 70, step: 0.1, label: 'air temperature' },
} as const satisfies Record<string, QuantityRow>;

export type QuantityName = keyof typeof QUANTITIES;
/** A quantity, or one port's share of it: `solarPowerW`, `solarPowerW.2`. */
export type QuantityKey = QuantityName | `${QuantityName}.${number}`;

/** Ports a station may number, 1 up. */
export const MAX_PORT = 16;

/** The row of a key, or undefined where the name is unknown or the port number is not allowed. */
export function quantityRow(key: string): QuantityRow | undefined {
  const dot = key.indexOf('.');
  const name = dot < 0 ? key : key.slice(0, dot);
  if (!Object.hasOwn(QUANTITIES, name)) return undefined;
  const row: QuantityRow = QUANTITIES[name as QuantityName];
  if (dot < 0) return row;
  const port = key.slice(dot + 1);
  if (row.perPort !== true || !/^[1-9][0-9]?$/.test(port) || Number(port) > MAX_PORT) return undefined;
  return row;
}

export const isQuantityKey = (key: string): key is QuantityKey => quantityRow(key) !== undefined;
