/**
 * A station's own counters, where it has any: what came from the sun and what went out since it was built, in whole steps.
 * They go on whoever listens.
 */
import type { Ledger } from '../plant/ledger.ts';

export interface Counts {
  readonly solarEnergyWh: number;
  readonly outputEnergyWh: number;
}

/** @param stepWh the least they can count */
export function countsOf(ledger: Pick<Ledger, 'totalOf'>, stepWh: number): Counts {
  const shown = (wh: number): number => Number((Math.floor(wh / stepWh) * stepWh).toFixed(3));
  return { solarEnergyWh: shown(ledger.totalOf('solarWh')), outputEnergyWh: shown(ledger.totalOf('outputWh')) };
}
