/**
 * Whether what a projection rests on is known now. A station made of parts may lose the one that tells its percent or a
 * power and go on telling the rest: from a percent or a load of long ago nothing is promised.
 */
import type { Reading } from '#kit';
import type { Ahead } from './outlook.ts';

/** Common practice, no source: a station of 1 kWh at 120 W moves by 3 % in this time. */
const PERCENT_STANDS_MS = 15 * 60_000;
/** A part that only stumbled is back by then. */
const POWER_STANDS_MS = 120_000;

/** A power that the source never gives is not missed; one that it usually gives is. */
export const lacksPower = ({ quantities, reasons }: Reading): boolean =>
  (['inputPowerW', 'outputPowerW'] as const).some(key => quantities[key] === null && reasons[key] !== 'notGiven');

/** The reading as the gauge may learn from it: a percent that still stands from before is no new one. */
export function asToldAnew(reading: Reading): Reading {
  if (reading.reasons.stateOfChargePct !== 'notGiven') return reading;
  return { ...reading, quantities: { ...reading.quantities, stateOfChargePct: null } };
}

export interface KnownNow {
  see(reading: Reading): void;
  /** Why nothing can be promised, or null. */
  lacks(atMs: number): 'noStateOfCharge' | 'noPower' | null;
}

export function watchKnown(): KnownNow {
  let percentAt: number | null = null;
  let powerLostAt: number | null = null;
  let percentIsGone = false;
  return {
    see(reading) {
      percentIsGone = (reading.quantities.stateOfChargePct ?? null) === null;
      if (!percentIsGone) percentAt = reading.at;
      powerLostAt = lacksPower(reading) ? (powerLostAt ?? reading.at) : null;
    },
    lacks(atMs) {
      if (percentIsGone && percentAt !== null && atMs - percentAt > PERCENT_STANDS_MS) return 'noStateOfCharge';
      return powerLostAt !== null && atMs - powerLostAt > POWER_STANDS_MS ? 'noPower' : null;
    },
  };
}

/** The same answer with nothing promised. */
export const withoutPromise = (ahead: Ahead, why: 'noStateOfCharge' | 'noPower'): Ahead => ({
  ...ahead,
  toward: 'none',
  why,
  early: false,
  doubts: [],
  emptyAt: null,
  stopsAt: null,
  fullAt: null,
  byLabel: null,
  leftWh: null,
  quantiles: [],
  fan: null,
});
