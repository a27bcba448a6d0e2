/**
 * A date that stands twice in the record, since the zone was changed on it, told as one day: sums of both parts, which
 * have no instant in common. What is known of one part only is not known of the day. Pure.
 */
import type { LedgerAnswer, LedgerDay, WhereItWent } from '#messages';

type Row = LedgerAnswer['carpet']['rows'][number];

/** The day of a date; null where nothing of it is on record. */
export function dayOf(days: readonly LedgerDay[], date: string): LedgerDay | null {
  const parts = days.filter(day => day.date === date);
  return parts.length === 0 ? null : parts.reduce(together);
}

/** @param a the earlier part */
export function together(a: LedgerDay, b: LedgerDay): LedgerDay {
  const sum = (of: (day: LedgerDay) => number) => of(a) + of(b);
  const known = (of: (day: LedgerDay) => number | null) => {
    const [one, other] = [of(a), of(b)];
    return one === null || other === null ? null : one + other;
  };
  return {
    ...b,
    startAt: a.startAt,
    solarWh: sum(day => day.solarWh),
    inputWh: sum(day => day.inputWh),
    outputWh: sum(day => day.outputWh),
    // Each tells its share of the whole civil day.
    coveragePct: Math.min(
      100,
      sum(day => day.coveragePct),
    ),
    coveredMs: sum(day => day.coveredMs),
    gapMs: sum(day => day.gapMs),
    solarPeakW: Math.max(a.solarPeakW, b.solarPeakW),
    stateOfChargeMinPct: least(a.stateOfChargeMinPct, b.stateOfChargeMinPct, 1),
    stateOfChargeMaxPct: least(a.stateOfChargeMaxPct, b.stateOfChargeMaxPct, -1),
    clearSkyWh: known(day => day.clearSkyWh),
    finalYieldH: known(day => day.finalYieldH),
    referenceYieldH: known(day => day.referenceYieldH),
    referenceFrom: a.referenceFrom === b.referenceFrom ? b.referenceFrom : null,
    ...ratioOf([a, b]),
    fullMin: sum(day => day.fullMin),
    portLimitMin: sum(day => day.portLimitMin),
    whereItWent: wentOf(a.whereItWent, b.whereItWent),
    worth: known(day => day.worth),
    counted: null,
  };
}

/** Of two the lesser, or with `way` −1 the greater; the one that is known where only one is. */
const least = (a: number | null, b: number | null, way: 1 | -1): number | null =>
  a === null || b === null ? (a ?? b) : way * Math.min(way * a, way * b);

/** Each part weighs by its light while nothing held the panels back. */
function ratioOf(parts: readonly LedgerDay[]): Pick<LedgerDay, 'performanceRatio' | 'openReferenceYieldH'> {
  const light = (day: LedgerDay) => day.openReferenceYieldH ?? day.referenceYieldH ?? 0;
  const lit = parts.filter(day => day.performanceRatio !== null && light(day) > 0);
  const weight = lit.reduce((sum, day) => sum + light(day), 0);
  const ratio = lit.reduce((sum, day) => sum + day.performanceRatio! * light(day), 0) / weight;
  return {
    performanceRatio: lit.length === 0 ? null : ratio,
    openReferenceYieldH: parts.reduce((sum, day) => sum + light(day), 0),
  };
}

function wentOf(a: WhereItWent | null, b: WhereItWent | null): WhereItWent | null {
  if (a === null || b === null) return null;
  const sums = (Object.keys(b) as (keyof WhereItWent)[]).map(cause => [cause, a[cause] + b[cause]]);
  return Object.fromEntries(sums) as WhereItWent;
}

/** Both rows are by the wall clock: a step that both tell is the mean of the two. */
export const rowTogether = (a: Row, b: Row): Row =>
  b.map((watts, i) => {
    const other = a[i] ?? null;
    return watts === null || other === null ? (watts ?? other) : (watts + other) / 2;
  });
