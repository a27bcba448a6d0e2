/**
 * A station's own running totals, Wh: what was added between two values. A drop is a wrap only where the width is known
 * and what it then must have counted could have passed in that time; else it is a reset. Nothing is ever negative, and a
 * gap in which it could have run over once and more is unknown.
 */

import type { QuantityName } from './quantities.ts';

/** Every quantity that is a running total. */
export const COUNTER_NAMES = [
  'solarEnergyWh',
  'inputEnergyWh',
  'chargerEnergyWh',
  'outputEnergyWh',
  'meterEnergyWh',
] as const satisfies readonly QuantityName[];
export type CounterName = (typeof COUNTER_NAMES)[number];

export interface CounterRules {
  /** Where it runs over to 0: steps it holds × Wh a step. null: not known, then every drop is a reset. */
  readonly wrapWh: number | null;
  /** The most that can pass, W: what is printed on the station. */
  readonly ratedPowerW: number;
  /** The least it can count, Wh. */
  readonly stepWh: number;
}

export interface CounterValue {
  readonly valueWh: number;
  /** Monotonic. */
  readonly atMs: number;
}

export type CounterStep =
  | { readonly kind: 'counted' | 'wrapped'; readonly energyWh: number }
  /** It began again: what passed since the last value is not known. */
  | { readonly kind: 'reset'; readonly energyWh: null }
  /** A gap too long, or more than could have passed: nothing is known of it. */
  | { readonly kind: 'unknown'; readonly energyWh: null };

const HOUR_MS = 3_600_000;
/** Stations give more than their label says for a while, and clocks differ (common practice, no source). */
const MARGIN = 1.2;

const RESET: CounterStep = { kind: 'reset', energyWh: null };
const UNKNOWN: CounterStep = { kind: 'unknown', energyWh: null };

/** The most energy that can have passed between two values, Wh; both ends may be off by a step. */
export const mostWh = ({ ratedPowerW, stepWh }: CounterRules, elapsedMs: number): number =>
  (MARGIN * ratedPowerW * elapsedMs) / HOUR_MS + 2 * stepWh;

/** What a counter says from `before` to `now`. */
export function counterStep(before: CounterValue, now: CounterValue, rules: CounterRules): CounterStep {
  const { wrapWh } = rules;
  const elapsedMs = now.atMs - before.atMs;
  if (elapsedMs < 0) return UNKNOWN;
  const possibleWh = mostWh(rules, elapsedMs);
  if (wrapWh !== null && possibleWh >= wrapWh) return UNKNOWN;
  const addedWh = now.valueWh - before.valueWh;
  if (addedWh >= 0) return addedWh <= possibleWh ? { kind: 'counted', energyWh: addedWh } : UNKNOWN;
  if (wrapWh === null || before.valueWh >= wrapWh) return RESET;
  const throughWrapWh = addedWh + wrapWh;
  return throughWrapWh <= possibleWh ? { kind: 'wrapped', energyWh: throughWrapWh } : RESET;
}

export interface Counted {
  readonly last: CounterValue | null;
  /** What is known to have been added, Wh. */
  readonly totalWh: number;
  /** Time of which nothing is known, ms. */
  readonly unknownMs: number;
}

export const NOTHING_COUNTED: Counted = { last: null, totalWh: 0, unknownMs: 0 };

/** The count with one more value; a value that is missing (null) changes nothing. */
export function countOn(counted: Counted, valueWh: number | null, atMs: number, rules: CounterRules): Counted {
  if (valueWh === null) return counted;
  const now = { valueWh, atMs };
  const { last, totalWh, unknownMs } = counted;
  if (last === null) return { ...counted, last: now };
  const { energyWh } = counterStep(last, now, rules);
  if (energyWh === null) return { last: now, totalWh, unknownMs: unknownMs + Math.max(0, atMs - last.atMs) };
  return { last: now, totalWh: totalWh + energyWh, unknownMs };
}
