/**
 * Notices that a station tells another unit than before (new firmware: kWh for Wh, tenths for whole volts): a quantity
 * that cannot jump so jumps by a whole factor, or watts no longer agree with volts × amperes. Such a reading is refused
 * until its owner has confirmed the change. Powers alone prove nothing: a kettle is ten times a lamp.
 *
 * Limits: common practice, no source; chosen so that a battery that collapses, a cloud or a load never looks like one.
 */
import { type QuantityKey, quantityRow } from './quantities.ts';
import type { DecodedReading } from './reading.ts';
import { keptWith, type UnitHistory } from './unit-history.ts';

export interface UnitChange {
  readonly key: QuantityKey;
  /** What the old value was changed by: `× 1000`, `÷ 10`, `°C → °F`. */
  readonly as: string;
  /** Median of the last accepted ones, and what came. */
  readonly was: number;
  readonly is: number;
}

const LEAST_KEPT = 5;
/** After so long a battery may really hold a tenth of what it held. */
const JUMP_WITHIN_MS = 60_000;
const NEAR = 0.03;
/** Watts and volts × amperes are measured a moment apart. */
const NEAR_RATIO = 0.25;
const LEAST_W = 10;
/** From this many readings on it is no glitch of a single frame. */
export const SURE_AFTER = 3;

/** What one unit looks like in another. */
type As = readonly [words: string, of: (value: number) => number];
const times = (...factors: number[]): As[] =>
  factors.flatMap((factor): As[] => [
    [`× ${factor}`, value => value * factor],
    [`÷ ${factor}`, value => value / factor],
  ]);

/**
 * Quantities that do not jump, each with what may happen to its unit. `always`: not even in a long gap; `broken`: a whole
 * number is no sign of it.
 */
interface Steady {
  readonly as: readonly As[];
  readonly least: number;
  readonly always?: true;
  readonly broken?: true;
}

const STEADY: Readonly<Record<string, Steady>> = {
  V: { as: times(10, 100, 1000), least: 5, always: true },
  Hz: { as: times(10, 100, 1000), least: 40, always: true },
  Wh: { as: times(10, 1000, 3.6, 3600), least: 100 },
  // A fraction in place of percents; an empty battery falls to whole ones.
  '%': { as: [['÷ 100', value => value / 100]], least: 10, broken: true },
  '°C': { as: [['°C → °F', value => value * 1.8 + 32], ...times(10)], least: 10 },
};

/** Watts = volts × amperes, whatever the load. */
const GROUPS: readonly (readonly [QuantityKey, QuantityKey, QuantityKey])[] = [
  ['batteryPowerW', 'batteryVoltageV', 'batteryCurrentA'],
  ['solarPowerW', 'solarVoltageV', 'solarCurrentA'],
  ['solarPowerW.1', 'solarVoltageV.1', 'solarCurrentA.1'],
  ['solarPowerW.2', 'solarVoltageV.2', 'solarCurrentA.2'],
];
const RATIOS = times(10, 60, 100, 1000);

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
const isNear = (value: number, wanted: number, near: number): boolean =>
  Math.abs(value - wanted) <= near * Math.abs(wanted);

/** Panel volts go from nothing to all within a minute of dawn. */
const isSteady = (key: string): boolean => !key.startsWith('solarVoltageV');
const ruleOf = (name: string): Steady | undefined =>
  isSteady(name) ? STEADY[quantityRow(name as QuantityKey)?.unit ?? ''] : undefined;
const isWatched = (name: string): boolean => ruleOf(name) !== undefined;

function jumped(key: QuantityKey, is: number, was: number, elapsedMs: number): UnitChange | null {
  const rule = ruleOf(key);
  if (rule === undefined || Math.abs(was) < rule.least) return null;
  if (rule.always !== true && elapsedMs > JUMP_WITHIN_MS) return null;
  if (rule.broken === true && Number.isInteger(is)) return null;
  const found = rule.as.find(([, of]) => isNear(is, of(was), NEAR) && !isNear(is, was, 0.3));
  return found === undefined ? null : { key, as: found[0], was, is };
}

/** Watts ÷ (volts × amperes), or null where too little flows to tell. */
function ratioOf({ quantities }: DecodedReading, [power, volts, amps]: (typeof GROUPS)[number]): number | null {
  const watts = Math.abs(quantities[power] ?? 0);
  const product = Math.abs((quantities[volts] ?? 0) * (quantities[amps] ?? 0));
  return watts > LEAST_W / 100 && product > LEAST_W / 100 && Math.max(watts, product) > LEAST_W
    ? watts / product
    : null;
}

/** All that is compared, by name. */
function compared(reading: DecodedReading): Map<string, number> {
  const found = new Map<string, number>();
  for (const [key, value] of Object.entries(reading.quantities)) if (typeof value === 'number') found.set(key, value);
  for (const group of GROUPS) {
    const ratio = ratioOf(reading, group);
    if (ratio !== null) found.set(`${group[0]} ratio`, ratio);
  }
  return found;
}

function changeIn(history: UnitHistory, now: ReadonlyMap<string, number>, elapsedMs: number): UnitChange | null {
  for (const [name, is] of now) {
    const before = history.values.get(name);
    if (before === undefined || before.length < LEAST_KEPT) continue;
    const group = GROUPS.find(([power]) => name === `${power} ratio`);
    // Of a power alone nothing is concluded: its middle need not be known.
    if (group === undefined && !isWatched(name)) continue;
    const was = median(before);
    if (group === undefined) {
      const change = jumped(name as QuantityKey, is, was, elapsedMs);
      if (change !== null) return change;
      continue;
    }
    const found = RATIOS.find(([, of]) => isNear(is, of(was), NEAR_RATIO));
    if (found !== undefined) return { key: group[0], as: found[0], was, is };
  }
  return null;
}

export interface UnitsWatched {
  readonly history: UnitHistory;
  /** The reading is refused; it came with another unit, or is a glitch. */
  readonly change: UnitChange | null;
  /** It is no glitch any more: ask the owner. */
  readonly sure: boolean;
}

/**
 * Looks at one more reading. Only accepted ones are remembered, so a change stays one until the owner confirms it: the
 * history then begins anew (`NO_UNIT_HISTORY`). `nowMs`: monotonic.
 */
export function watchUnits(history: UnitHistory, reading: DecodedReading, nowMs: number): UnitsWatched {
  const now = compared(reading);
  const change = changeIn(history, now, nowMs - history.atMs);
  if (change !== null) {
    const doubted = history.doubted + 1;
    return { history: { ...history, doubted }, change, sure: doubted >= SURE_AFTER };
  }
  return { history: keptWith(history, now, nowMs), change: null, sure: false };
}

/** A reading whose units are in doubt, as it is passed on: nothing in it can be trusted, and it says so. */
export function refuseUnits(reading: DecodedReading): DecodedReading {
  const keys = Object.keys(reading.quantities) as QuantityKey[];
  return {
    quantities: Object.fromEntries(keys.map(key => [key, null])),
    states: { ...reading.states },
    quality: 'bad',
    reasons: Object.fromEntries(keys.map(key => [key, reading.reasons[key] ?? 'inconsistent'])),
  };
}
