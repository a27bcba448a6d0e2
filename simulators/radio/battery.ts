/**
 * The Bluetooth SIG's Battery Service 1.1 as a station speaks it: values of its characteristics from plain figures.
 * Written from the SIG's formats, never from an adapter. Energies in kWh there, powers in W, times in minutes.
 */
import type { ServicePlan } from './attributes.ts';

export const BATTERY = {
  service: '180f',
  level: '2a19',
  levelStatus: '2bed',
  timeStatus: '2bee',
  energyStatus: '2bf0',
  power: '2b05',
  voltage: '2b18',
  current: '2aee',
} as const;

const u16 = (value: number): number[] => [value & 0xff, (value >> 8) & 0xff];
const u24 = (value: number): number[] => [...u16(value), (value >> 16) & 0xff];

const MOST_MANTISSA = 2045;
const NOT_A_NUMBER = 0x07ff;

/** IEEE 11073 SFLOAT: 4-bit exponent to ten, 12-bit mantissa; the most digits that fit. null: not a number. */
export function medfloat16(value: number | null): number[] {
  if (value === null) return u16(NOT_A_NUMBER);
  let exponent = -8;
  while (exponent < 7 && Math.abs(Math.round(value / 10 ** exponent)) > MOST_MANTISSA) exponent += 1;
  const mantissa = Math.round(value / 10 ** exponent);
  return u16(((exponent & 0xf) << 12) | (mantissa & 0xfff));
}

export const levelValue = (percent: number): Buffer => Buffer.from([Math.round(percent)]);

export interface LevelStatus {
  readonly charge: 'unknown' | 'charging' | 'dischargingActive' | 'dischargingInactive';
  readonly levelPct?: number;
  readonly identifier?: number;
  readonly present?: boolean;
  /** Bits: 1 battery, 2 external source, 4 other. */
  readonly faults?: number;
}

const CHARGES = ['unknown', 'charging', 'dischargingActive', 'dischargingInactive'];

export function levelStatusValue({ charge, levelPct, identifier, present = true, faults = 0 }: LevelStatus): Buffer {
  const state = (present ? 1 : 0) | (CHARGES.indexOf(charge) << 5) | (faults << 12);
  const flags = (identifier === undefined ? 0 : 1) | (levelPct === undefined ? 0 : 2);
  return Buffer.from([
    flags,
    ...u16(state),
    ...(identifier === undefined ? [] : u16(identifier)),
    ...(levelPct === undefined ? [] : [Math.round(levelPct)]),
  ]);
}

export interface EnergyStatus {
  readonly externalSourceW?: number | null;
  readonly voltageV?: number | null;
  readonly availableKwh?: number | null;
  readonly capacityKwh?: number | null;
  /** Negative while discharging. */
  readonly chargeRateW?: number | null;
  readonly lastChargeKwh?: number | null;
}

export function energyStatusValue(status: EnergyStatus): Buffer {
  const inOrder = [
    status.externalSourceW,
    status.voltageV,
    status.availableKwh,
    status.capacityKwh,
    status.chargeRateW,
    status.lastChargeKwh,
  ];
  const flags = inOrder.reduce<number>((bits, value, i) => (value === undefined ? bits : bits | (1 << i)), 0);
  return Buffer.from([flags, ...inOrder.flatMap(value => (value === undefined ? [] : medfloat16(value)))]);
}

const UNKNOWN_MINUTES = 0xffffff;

/** null: unknown. */
export function timeStatusValue(toEmptyMin: number | null, toFullMin: number | null): Buffer {
  return Buffer.from([2, ...u24(toEmptyMin ?? UNKNOWN_MINUTES), ...u24(toFullMin ?? UNKNOWN_MINUTES)]);
}

export const powerValue = (watts: number): Buffer => Buffer.from(u24(Math.round(watts * 10)));
export const voltageValue = (volts: number): Buffer => Buffer.from(u16(Math.round(volts * 64)));
export const currentValue = (amperes: number): Buffer => Buffer.from(u16(Math.round(amperes * 100)));

/** Figures of a station at one moment. */
export interface BatteryFigures {
  readonly levelPct: number;
  readonly inputW: number;
  readonly outputW: number;
  readonly voltageV: number;
  readonly availableWh: number;
  readonly toEmptyMin: number | null;
  readonly toFullMin: number | null;
}

/** The value of each characteristic of the whole service. */
export function batteryValues(figures: BatteryFigures): Record<string, Buffer> {
  const { levelPct, inputW, outputW, voltageV, availableWh, toEmptyMin, toFullMin } = figures;
  const chargeRateW = inputW - outputW;
  return {
    [BATTERY.level]: levelValue(levelPct),
    [BATTERY.levelStatus]: levelStatusValue({ charge: chargeRateW > 0 ? 'charging' : 'dischargingActive', levelPct }),
    [BATTERY.energyStatus]: energyStatusValue({
      externalSourceW: inputW,
      voltageV,
      availableKwh: availableWh / 1000,
      chargeRateW,
    }),
    [BATTERY.timeStatus]: timeStatusValue(toEmptyMin, toFullMin),
  };
}

/** The service with these values, each characteristic read and told. */
export const batteryService = (values: Record<string, Buffer>): ServicePlan => ({
  uuid: BATTERY.service,
  characteristics: Object.entries(values).map(([uuid, value]) => ({ uuid, value, can: ['read', 'notify'] })),
});
