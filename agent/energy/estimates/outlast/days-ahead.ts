/** The next days in coarse steps, the sky of each set good, middling or poor by hand or left open. */
import { chargeAt, type EnergyMap } from '../energy-map.ts';
import { type Outlook, quantileOf } from '../runtime/engine.ts';
import { type Ask, chancesOf } from './chances.ts';
import { SHARES, type Sky } from './sky.ts';

export interface DayAhead {
  /** How many of twenty are still above the floor at its end, having been so all along. */
  chances: number;
  /** Middle state of charge at its end, percent. */
  endPct: number;
}

/** A quarter of an hour over a week. */
const STEPS = 672;

/**
 * @param dotsOf of an answer, as they are told
 * @param endsMin minutes ahead at which each day ends, rising
 * @param skies one a day; null where it is left open
 */
export function daysAhead(
  ask: Ask,
  dotsOf: (outlook: Outlook) => readonly number[],
  map: EnergyMap,
  endsMin: readonly number[],
  skies: readonly (Sky | null)[],
): DayAhead[] | null {
  const outlook = ask({ clearness: skyAt(endsMin, skies), leastMin: endsMin.at(-1)!, steps: STEPS });
  const { courses, fanStepMin, perPctWh } = outlook;
  if (courses === null) return null;
  const dots = dotsOf(outlook);
  return endsMin.map(endMin => {
    const row = courses.fan[Math.min(courses.fan.length - 1, Math.round(endMin / fanStepMin))]!;
    return { chances: chancesOf(dots, endMin), endPct: chargeAt(map, quantileOf(row, 0.5) / perPctWh) };
  });
}

/** Clearness by minutes ahead. */
export const skyAt =
  (endsMin: readonly number[], skies: readonly (Sky | null)[]) =>
  (minutesAhead: number): readonly [number, number] | null => {
    const day = endsMin.findIndex(end => minutesAhead < end);
    const sky = skies[day] ?? null;
    return sky === null ? null : SHARES[sky];
  };
