/**
 * Days of two sides held against each other: by date where both cover the same dates, else in their order. Sums are over
 * whole days in common only, so that a gap of one never counts for the other. Energies Wh, yields kWh per kW. Pure.
 */
import { shiftDate } from '#energy/civil-day';
import type { LedgerAnswer, LedgerDay } from '#messages';
import { daysIn, type Side, type Sides } from './sides.ts';

/** A day counts as whole from this share recorded, %; as in the Ledger. */
const WHOLE_FROM_PCT = 98;

export interface Pair {
  dates: [one: string, other: string];
  days: [one: LedgerDay | null, other: LedgerDay | null];
  /** Both are whole. */
  counted: boolean;
}

export interface SideSum {
  harvestWh: number;
  /** Over all days in common; null where the panels' rating is not known on each. */
  yieldH: number | null;
  /** Each day weighing by its light while nothing held the panels back, as in the Ledger; null where no day knows it. */
  ratio: number | null;
  /** Mean over all days of the period, whole or not, %. */
  coveragePct: number;
  wholeDays: number;
  worth: number | null;
}

export interface Beside {
  pairs: Pair[];
  common: number;
  leftOut: number;
  byDate: boolean;
  sums: [one: SideSum, other: SideSum];
}

export function besideOf({ one, other }: Sides, answers: readonly [LedgerAnswer, LedgerAnswer]): Beside {
  const byDate = one.station !== other.station && one.from <= other.to && other.from <= one.to;
  const [from, to]: [string, string] = byDate
    ? [later(one.from, other.from), earlier(one.to, other.to)]
    : [one.from, shiftDate(one.from, Math.min(daysIn(one), daysIn(other)) - 1)];
  const shiftDays = byDate ? 0 : (Date.parse(other.from) - Date.parse(one.from)) / 86_400_000;
  const maps = answers.map(({ days }) => byDateOf(days)) as [Map<string, LedgerDay>, Map<string, LedgerDay>];
  const pairs: Pair[] = [];
  for (let date = from; date <= to; date = shiftDate(date, 1)) {
    const dates: Pair['dates'] = [date, shiftDate(date, shiftDays)];
    const days: Pair['days'] = [maps[0].get(dates[0]) ?? null, maps[1].get(dates[1]) ?? null];
    const counted = days.every((day, i) => isWhole(day, answers[i]!.today));
    pairs.push({ dates, days, counted });
  }
  const counted = pairs.filter(pair => pair.counted);
  const sum = (i: 0 | 1, side: Side) =>
    sumOf(
      counted.map(pair => pair.days[i]!),
      answers[i],
      side,
    );
  return {
    pairs,
    common: counted.length,
    leftOut: pairs.length - counted.length,
    byDate,
    sums: [sum(0, one), sum(1, other)],
  };
}

/** Of two civil dates. */
const earlier = (a: string, b: string): string => [a, b].sort()[0]!;
const later = (a: string, b: string): string => [a, b].sort()[1]!;

/** Of a date that is there twice, since the zone changed on it, neither part is a whole day. */
function byDateOf(days: readonly LedgerDay[]): Map<string, LedgerDay> {
  const map = new Map<string, LedgerDay>();
  for (const day of days) map.set(day.date, map.has(day.date) ? { ...day, coveragePct: 0 } : day);
  return map;
}

const isWhole = (day: LedgerDay | null, today: string): boolean =>
  day !== null && day.date < today && day.coveragePct >= WHOLE_FROM_PCT;

const total = (values: readonly (number | null)[]): number | null =>
  values.length === 0 || values.includes(null) ? null : values.reduce<number>((sum, value) => sum + value!, 0);

function sumOf(days: readonly LedgerDay[], answer: LedgerAnswer, side: Side): SideSum {
  const openH = (day: LedgerDay) => day.openReferenceYieldH ?? day.referenceYieldH ?? 0;
  const lit = days.filter(day => day.performanceRatio !== null);
  const light = lit.reduce((sum, day) => sum + openH(day), 0);
  return {
    harvestWh: days.reduce((sum, day) => sum + day.solarWh, 0),
    yieldH: total(days.map(day => day.finalYieldH)),
    ratio: light > 0 ? lit.reduce((sum, day) => sum + day.performanceRatio! * openH(day), 0) / light : null,
    coveragePct: answer.days.reduce((sum, day) => sum + day.coveragePct, 0) / daysIn(side),
    wholeDays: answer.days.filter(day => isWhole(day, answer.today)).length,
    worth: total(days.map(day => day.worth)),
  };
}

/** Whether both tell the panels' rating, so that their size can be taken out. */
export const isPerKw = ({ sums }: Beside): boolean => sums.every(({ yieldH }) => yieldH !== null);

/** What is compared, of each side: yield where both know it, else energy; a day's mean. */
export const meansOf = (beside: Beside): [one: number, other: number] =>
  beside.sums.map(({ yieldH, harvestWh }) => (isPerKw(beside) ? yieldH! : harvestWh) / Math.max(1, beside.common)) as [
    number,
    number,
  ];
