/** Sums of the Ledger over months, half-years and years, with how much of each was recorded. Energies Wh, civil dates both included. */
import { type PeriodKind, periodOf } from '#energy/ledger/periods';
import { performanceRatio } from '#energy/yields';
import type { LedgerAnswer, LedgerDay, WhereItWent } from '#messages';
import type { DayAnswer } from './ledger-day.ts';

export const PERIODS = ['month', 'season', 'year'] as const satisfies readonly PeriodKind[];
export type Period = (typeof PERIODS)[number];

export interface PeriodSum {
  from: string;
  to: string;
  /** Dates of the period that lie in the range, and of them those with any reading. */
  days: number;
  recordedDays: number;
  /** Of the time that has passed on those dates, %. */
  coveragePct: number;
  solarWh: number;
  inputWh: number;
  outputWh: number;
  /** Of all its dates; null where one of them is not known. */
  clearSkyWh: number | null;
  /** Dates without any reading are not recorded; null where one day is not known. */
  whereItWent: WhereItWent | null;
  finalYieldKwhPerKw: number | null;
  referenceYieldKwhPerKw: number | null;
  performanceRatio: number | null;
  worth: number | null;
}

type Missing = LedgerAnswer['missing'][number];

/** @param nowMs UTC epoch ms: a day that still runs counts as far as it has come */
export function periodSums(by: Period, days: readonly DayAnswer[], missing: readonly Missing[], nowMs: number) {
  const dates = [...days.map(({ day }) => day.date), ...missing.map(({ date }) => date)].sort();
  const periods = new Map(dates.map(date => [periodOf(by, date).from, periodOf(by, date)]));
  return [...periods.values()].map(period => {
    const within = ({ date }: { date: string }) => date >= period.from && date <= period.to;
    return sumOf(
      period,
      days.filter(({ day }) => within(day)),
      missing.filter(within),
      nowMs,
    );
  });
}

const DAY_MS = 86_400_000;

/** The sum over days and over dates without a reading. */
export function sumOf(
  { from, to }: { from: string; to: string },
  answers: readonly DayAnswer[],
  missing: readonly Missing[],
  nowMs: number,
): PeriodSum {
  const days = answers.map(({ day }) => day);
  const passedMs = days.reduce((sum, day) => sum + passedOf(day, nowMs), missing.length * DAY_MS);
  const coveredMs = days.reduce((sum, day) => sum + day.coveredMs, 0);
  const dates = new Set(days.map(({ date }) => date)).size;
  const lightH = total(answers.map(({ open }) => open.referenceH));
  return {
    from,
    to,
    days: dates + missing.length,
    recordedDays: dates,
    coveragePct: passedMs > 0 ? Math.min(100, (100 * coveredMs) / passedMs) : 0,
    solarWh: total(days.map(({ solarWh }) => solarWh)),
    inputWh: total(days.map(({ inputWh }) => inputWh)),
    outputWh: total(days.map(({ outputWh }) => outputWh)),
    clearSkyWh: known([...days, ...missing].map(({ clearSkyWh }) => clearSkyWh)),
    whereItWent: whereOf(days, missing),
    finalYieldKwhPerKw: known(days.map(({ finalYieldH }) => finalYieldH)),
    referenceYieldKwhPerKw: known(days.map(({ referenceYieldH }) => referenceYieldH)),
    performanceRatio: performanceRatio(total(answers.map(({ open }) => open.finalH)), lightH),
    worth: known(days.map(({ worth }) => worth)),
  };
}

const passedOf = ({ startAt, endAt }: LedgerDay, nowMs: number): number =>
  Math.max(0, Math.min(Date.parse(endAt), nowMs) - Date.parse(startAt));

const total = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** null where there is none, or one is not known. */
const known = (values: readonly (number | null)[]): number | null =>
  values.length === 0 || values.some(value => value === null) ? null : total(values as number[]);

const CAUSES = [
  'cloudWh',
  'shadeWh',
  'fullWh',
  'portLimitWh',
  'notOutWh',
  'notRecordedWh',
  'aheadWh',
  'otherWh',
] as const satisfies readonly (keyof WhereItWent)[];

function whereOf(days: readonly LedgerDay[], missing: readonly Missing[]): WhereItWent | null {
  const unrecorded = missing.length === 0 ? 0 : known(missing.map(({ clearSkyWh }) => clearSkyWh));
  const notOut = total(missing.map(({ notOutWh }) => notOutWh ?? 0));
  const each = days.map(({ whereItWent }) => whereItWent);
  if (unrecorded === null || days.length + missing.length === 0 || each.some(one => one === null)) return null;
  const sums = CAUSES.map(cause => [cause, total((each as WhereItWent[]).map(one => one[cause]))] as const);
  const where = Object.fromEntries(sums) as unknown as WhereItWent;
  return {
    ...where,
    notOutWh: where.notOutWh + notOut,
    notRecordedWh: where.notRecordedWh + unrecorded - notOut,
  };
}
