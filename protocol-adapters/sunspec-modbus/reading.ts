/**
 * From the registers of a device's models to quantities. Watts; battery power and current positive while charging.
 *
 * Ports of the sun become `solarPowerW.1` up, in the device's order. AC power is what goes out of the outlets; where it
 * is negative the device takes from the wall. A generic port that injects is input that is not the sun's, one that
 * absorbs is DC output. Charge and health come from the storage model where there is one, else from the battery.
 */
import {
  type DecodedReading,
  decodeQuantities,
  type InputSource,
  judge,
  MAX_PORT,
  type QuantityKey,
  type States,
} from '#kit';
import { type Block, type Blocks, portsIn } from './blocks.ts';
import { AC_MODELS, BATTERY, BATTERY_FAULT, CHARGE_STATE, PORT, PORT_MODELS, STORAGE } from './models.ts';
import { type Point, pointValue } from './points.ts';

/** A block's registers; null: it could not be read this time, or the device has no such model. */
export type Registers = { readonly [B in keyof Blocks]: DataView | null };
type Value = number | null | undefined;
type Values = { [K in QuantityKey]?: number | null };

/** Leaves out what the device does not have. */
function put(values: Values, key: QuantityKey, value: Value): void {
  if (value !== undefined) values[key] = value;
}

/** Adds to what is there; one part that is not known makes the sum unknown. */
function add(values: Values, key: QuantityKey, value: Value): void {
  if (value === undefined) return;
  const before = values[key];
  values[key] = value === null || before === null ? null : (before ?? 0) + value;
}

const SUN_PORTS = Array.from({ length: MAX_PORT }, (_, i): QuantityKey => `solarPowerW.${i + 1}`);

/** A running total; a device that does not keep it has none to miss. */
const countOf = (view: DataView, point: Point, shift = 0): number | undefined =>
  pointValue(view, point, shift) ?? undefined;
const negated = (value: Value): Value => (typeof value === 'number' ? -value : value);
const positivePart = (value: Value): Value => (typeof value === 'number' ? Math.max(0, value) : value);

/** True where it takes from the wall. */
function putAc(values: Values, { model }: Block, view: DataView, isAlone: boolean): boolean {
  const points = AC_MODELS.get(model.id)!;
  const powerW = pointValue(view, points.powerW);
  put(values, 'acOutputPowerW', positivePart(powerW));
  put(values, 'chargerPowerW', positivePart(negated(powerW)));
  put(values, 'acVoltageV', pointValue(view, points.voltageV));
  put(values, 'acFrequencyHz', pointValue(view, points.frequencyHz));
  add(values, 'outputEnergyWh', countOf(view, points.generatedWh));
  if (points.absorbedWh !== undefined) add(values, 'chargerEnergyWh', countOf(view, points.absorbedWh));
  // With a battery behind it, the DC side of an inverter is no input.
  if (isAlone && points.dcPowerW !== undefined) put(values, 'inputPowerW', pointValue(view, points.dcPowerW));
  return typeof powerW === 'number' && powerW < 0;
}

/** True where one of the ports is the sun's. */
function putPorts(values: Values, block: Block, view: DataView, hasBattery: boolean): boolean {
  const layout = PORT_MODELS.get(block.model.id)!;
  const count = Math.min(portsIn(block), pointValue(view, layout.count) ?? Number.POSITIVE_INFINITY);
  let suns = 0;
  for (let i = 0; i < count; i++) {
    const shift = i * layout.each;
    const kind = layout.kind === undefined ? PORT.sun : pointValue(view, layout.kind, shift);
    const powerW = pointValue(view, layout.powerW, shift);
    const voltageV = pointValue(view, layout.voltageV, shift);
    const currentA = pointValue(view, layout.currentA, shift);
    if (kind === PORT.sun) {
      suns += 1;
      put(values, `solarPowerW.${suns}`, powerW);
      put(values, `solarVoltageV.${suns}`, voltageV);
      put(values, `solarCurrentA.${suns}`, currentA);
      add(values, 'solarEnergyWh', countOf(view, layout.injectedWh, shift));
    } else if (kind === PORT.storage && !hasBattery) {
      add(values, 'batteryPowerW', negated(powerW));
      add(values, 'batteryCurrentA', negated(currentA));
      put(values, 'batteryVoltageV', voltageV);
    } else if (kind === PORT.injecting) {
      add(values, 'chargerPowerW', powerW);
      add(values, 'chargerEnergyWh', countOf(view, layout.injectedWh, shift));
    } else if (kind === PORT.absorbing) {
      add(values, 'dcOutputPowerW', typeof powerW === 'number' ? Math.abs(powerW) : powerW);
      // The AC side's own count is added to it: both are what goes out.
      if (layout.absorbedWh !== undefined) add(values, 'outputEnergyWh', countOf(view, layout.absorbedWh, shift));
    }
  }
  return suns > 0;
}

/** The model leaves the sign open: the charge state decides, and without one positive is out, as on its AC side. */
function signed(value: Value, chargeState: Value): Value {
  if (typeof value !== 'number') return value;
  if (chargeState === CHARGE_STATE.charging) return Math.abs(value);
  return chargeState === CHARGE_STATE.discharging ? -Math.abs(value) : -value;
}

function putBattery(values: Values, view: DataView, hasStorage: boolean): void {
  const chargeState = pointValue(view, BATTERY.chargeState);
  put(values, 'batteryVoltageV', pointValue(view, BATTERY.voltageV));
  put(values, 'batteryCurrentA', signed(pointValue(view, BATTERY.currentA), chargeState));
  put(values, 'batteryPowerW', signed(pointValue(view, BATTERY.powerW), chargeState));
  if (hasStorage) return;
  put(values, 'stateOfChargePct', pointValue(view, BATTERY.chargePct));
  put(values, 'stateOfHealthPct', pointValue(view, BATTERY.healthPct));
}

function putStorage(values: Values, view: DataView): void {
  put(values, 'availableEnergyWh', pointValue(view, STORAGE.availableWh));
  put(values, 'stateOfChargePct', pointValue(view, STORAGE.chargePct));
  put(values, 'stateOfHealthPct', pointValue(view, STORAGE.healthPct));
}

/** With both coming in there is no one word for it; the two powers are told apart. */
function sourceOf(values: Values, hasSun: boolean, fromWall: boolean): InputSource | undefined {
  if ((values.chargerPowerW ?? 0) === 0) return hasSun ? 'sun' : undefined;
  const sunW = SUN_PORTS.reduce((sum, key) => sum + (values[key] ?? 0), 0);
  return fromWall && sunW === 0 ? 'wall' : 'unknown';
}

/** One of the two that share counts was read, and not the other. */
const isPartly = ({ ac, ports }: Blocks, read: Registers): boolean =>
  ac !== null && ports !== null && (read.ac === null) !== (read.ports === null);

/** A count of which a part is not known is not known: what is left of it would look like a new beginning. */
function leaveCountsOut(values: Values): void {
  for (const key of ['outputEnergyWh', 'chargerEnergyWh'] as const) if (values[key] !== undefined) values[key] = null;
}

/** What the registers say. `blocks` are those the device has, `read` what was read of them just now. */
export function readingOf(blocks: Blocks, read: Registers): DecodedReading {
  const values: Values = {};
  const { ac, ports, storage, battery } = blocks;
  const hasBattery = storage !== null || battery !== null;
  const fromWall = ac !== null && read.ac !== null && putAc(values, ac, read.ac, ports === null && !hasBattery);
  const hasSun = ports !== null && read.ports !== null && putPorts(values, ports, read.ports, battery !== null);
  if (isPartly(blocks, read)) leaveCountsOut(values);
  if (read.battery !== null) putBattery(values, read.battery, storage !== null);
  if (read.storage !== null) putStorage(values, read.storage);
  const { quantities, reasons } = decodeQuantities(values);
  const inputSource = sourceOf(values, hasSun, fromWall);
  const faulty = read.battery !== null && pointValue(read.battery, BATTERY.state) === BATTERY_FAULT;
  const states: States = {
    ...(inputSource === undefined ? {} : { inputSource }),
    ...(faulty ? { fault: 'battery fault' } : {}),
  };
  return { quantities, states, quality: judge(quantities, reasons), reasons };
}
