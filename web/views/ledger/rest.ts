/**
 * Where the rest went: what a cloudless sky would have given over a stretch of days, parted into what came in and what
 * took the rest. Sums of what the agent said of each day; a day of which it could say nothing is counted, not guessed.
 */
import type { WhereItWent } from '#messages';
import type { ListedDay } from './figures.ts';

export type Cause = Exclude<keyof WhereItWent, 'aheadWh'>;
/** In the order they are told. */
export const CAUSES: readonly Cause[] = [
  'cloudWh',
  'shadeWh',
  'fullWh',
  'portLimitWh',
  'notOutWh',
  'notRecordedWh',
  'otherWh',
];

export interface Rest {
  /** What a cloudless sky would have given up to now, Wh. */
  clearSkyWh: number;
  harvestWh: number;
  parts: Readonly<Record<Cause, number>>;
  /** Days it is told of, and days of which nothing can be said. */
  days: number;
  unknownDays: number;
}

/** Null where no day knows its clear sky. */
export function restOf(days: readonly ListedDay[]): Rest | null {
  const parts: Record<Cause, number> = {
    cloudWh: 0,
    shadeWh: 0,
    fullWh: 0,
    portLimitWh: 0,
    notOutWh: 0,
    notRecordedWh: 0,
    otherWh: 0,
  };
  let [clearSkyWh, known] = [0, 0];
  for (const { day, clearSkyWh: clear, notOutWh } of days) {
    if (clear === null || (day !== null && day.whereItWent === null)) continue;
    known++;
    clearSkyWh += clear - (day?.whereItWent?.aheadWh ?? 0);
    if (day === null) {
      parts.notOutWh += notOutWh;
      parts.notRecordedWh += clear - notOutWh;
    } else for (const cause of CAUSES) parts[cause] += day.whereItWent![cause];
  }
  if (known === 0) return null;
  const harvestWh = clearSkyWh - CAUSES.reduce((sum, cause) => sum + parts[cause], 0);
  return { clearSkyWh, harvestWh, parts, days: known, unknownDays: days.length - known };
}

export interface Stroke {
  cause: Cause | 'harvest';
  wh: number;
  /** Where it begins and ends along the clear sky, 0 to 1. */
  from: number;
  to: number;
}

/** The parts end to end: each begins where the one before ended. What is below one watt-hour is left out. */
export function strokesOf(rest: Rest): Stroke[] {
  const whole = Math.max(
    rest.clearSkyWh,
    rest.harvestWh + CAUSES.reduce((sum, cause) => sum + Math.max(0, rest.parts[cause]), 0),
  );
  let at = 0;
  const stroke = (cause: Stroke['cause'], wh: number): Stroke => {
    const from = at;
    at += wh / whole;
    return { cause, wh, from: Math.max(0, Math.min(from, at)), to: Math.min(1, Math.max(from, at)) };
  };
  return [
    stroke('harvest', rest.harvestWh),
    ...CAUSES.filter(cause => Math.abs(rest.parts[cause]) >= 1).map(cause => stroke(cause, rest.parts[cause])),
  ];
}
