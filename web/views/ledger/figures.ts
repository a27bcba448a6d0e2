/**
 * Sums and means of a stretch of the ledger. Pure. Means, best and worst are of whole days only; today is never one.
 * Energies Wh, yields hours (kWh per kW).
 */
import { shiftDate } from '#energy/civil-day';
import { earlierOf } from '#energy/ledger/periods';
import type { LedgerAnswer, LedgerDay, WireDay } from '#messages';
import { rowTogether, together } from './one-date.ts';

/** A day counts as whole from this share recorded, %. */
export const WHOLE_FROM_PCT = 98;

export type DayKind = 'whole' | 'partly' | 'today' | 'missing';

export interface ListedDay {
  date: string;
  kind: DayKind;
  /** Null where nothing of the date is in the record. */
  day: LedgerDay | null;
  /** What a cloudless sky would have given; null where it is not known. */
  clearSkyWh: number | null;
  /** Of it, on a date without any reading, while the panels were not out. */
  notOutWh: number;
  /** Watts from the sun by time of day; null where nothing of the date is in the record. */
  row: readonly (number | null)[] | null;
}

export interface Sums {
  solarWh: number;
  wholeDays: number;
  partlyDays: number;
  missingDays: number;
  /** Days from the first to the last, recorded or not. */
  days: number;
  /** Share of them that was recorded, %. */
  coveragePct: number;
  /** Null where no day knows it. */
  finalYieldH: number | null;
  referenceYieldH: number | null;
  /** The days' ratios, weighed by their light while nothing held the panels back. */
  performanceRatio: number | null;
  fullMin: number;
  portLimitMin: number;
  /** In the tariff's currency. */
  worth: number | null;
}

export interface MonthSum extends Sums {
  /** `YYYY-MM`. */
  month: string;
}

export interface LedgerFigures {
  days: readonly ListedDay[];
  all: Sums;
  months: readonly MonthSum[];
  /** Input that is not known to be sun. */
  notSunWh: number;
  /** Mean of the whole days; null where there is none. */
  meanWh: number | null;
  /** What a cloudless sky gives a day, over the same whole days; null where it is not known of each. */
  clearMeanWh: number | null;
  best: ListedDay | null;
  worst: ListedDay | null;
}

const total = <T>(list: readonly T[], pick: (item: T) => number): number =>
  list.reduce((sum, item) => sum + pick(item), 0);
const known = (list: readonly (number | null)[]): number | null =>
  list.every(value => value === null) ? null : total(list, value => value ?? 0);

/** Today as the agent last told it, in place of the record's older sum; what only the record knows stays. */
export function withToday(days: readonly LedgerDay[], today: WireDay | null): readonly LedgerDay[] {
  if (today === null || !holdsReadings(today)) return days;
  const last = days.at(-1);
  if (last !== undefined && last.date > today.date) return days;
  const recorded = last?.date === today.date ? last : null;
  const { ratedW = null } = recorded ?? last ?? {};
  const rest = recorded ?? { ...NOTHING_BUT_SUMS, startAt: '', endAt: '', ratedW };
  const finalYieldH = ratedW === null ? null : today.solarWh / ratedW;
  return [...(recorded === null ? days : days.slice(0, -1)), { ...rest, ...today, finalYieldH }];
}

/** A day that has begun in silence is no day on record yet. */
const holdsReadings = (day: WireDay): boolean =>
  day.coveredMs > 0 || day.inputWh > 0 || day.outputWh > 0 || day.solarPeakW > 0 || day.stateOfChargeMinPct !== null;

const NOTHING_BUT_SUMS = {
  clearSkyWh: null,
  referenceYieldH: null,
  referenceFrom: null,
  performanceRatio: null,
  fullMin: 0,
  portLimitMin: 0,
  whereItWent: null,
  worth: null,
  counted: null,
} as const;

/**
 * Every date from the first with a reading on, up to the end of the range or today.
 * @param days of the answer, today's exchanged for what the agent told last
 * @param to last date of the range
 */
export function listDays(answer: LedgerAnswer, days: readonly LedgerDay[], to: string): ListedDay[] {
  if (days.length === 0) return [];
  const byDate = byDateOf(days, answer.carpet.rows);
  const missing = new Map(answer.missing.map(one => [one.date, one]));
  const newest = days.at(-1)!.date;
  const today = earlierOf(newest, answer.today) === newest ? answer.today : newest;
  const last = earlierOf(to, today);
  const listed: ListedDay[] = [];
  for (let date = days[0]!.date; date <= last; date = shiftDate(date, 1)) {
    const { day, row } = byDate.get(date) ?? NO_DAY;
    // A day that has only begun is not missing yet.
    if (day === null && date === today) break;
    const kind =
      day === null ? 'missing' : date === today ? 'today' : day.coveragePct >= WHOLE_FROM_PCT ? 'whole' : 'partly';
    const missed = missing.get(date);
    const clearSkyWh = day === null ? (missed?.clearSkyWh ?? null) : day.clearSkyWh;
    listed.push({ date, kind, day, clearSkyWh, notOutWh: day === null ? (missed?.notOutWh ?? 0) : 0, row });
  }
  return listed;
}

const NO_DAY = { day: null, row: null };

function byDateOf(days: readonly LedgerDay[], rows: LedgerAnswer['carpet']['rows']) {
  const byDate = new Map<string, { day: LedgerDay; row: ListedDay['row'] }>();
  for (const [i, day] of days.entries()) {
    const [before, row] = [byDate.get(day.date), rows[i] ?? null];
    const both = before?.row != null && row !== null ? rowTogether([...before.row], row) : (row ?? before?.row ?? null);
    byDate.set(day.date, before === undefined ? { day, row } : { day: together(before.day, day), row: both });
  }
  return byDate;
}

export function ledgerFigures(days: readonly ListedDay[]): LedgerFigures {
  const whole = days.filter(d => d.kind === 'whole');
  const ranked = whole.toSorted((a, b) => a.day!.solarWh - b.day!.solarWh);
  return {
    days,
    all: sumsOf(days),
    months: monthSums(days),
    notSunWh: Math.max(
      0,
      total(days, ({ day }) => (day === null ? 0 : day.inputWh - day.solarWh)),
    ),
    meanWh: whole.length === 0 ? null : total(whole, d => d.day!.solarWh) / whole.length,
    clearMeanWh:
      whole.length === 0 || whole.some(d => d.clearSkyWh === null)
        ? null
        : total(whole, d => d.clearSkyWh!) / whole.length,
    best: whole.length < 2 ? null : ranked.at(-1)!,
    worst: whole.length < 2 ? null : ranked[0]!,
  };
}

export function sumsOf(list: readonly ListedDay[]): Sums {
  const recorded = list.flatMap(({ day }) => day ?? []);
  const openH = (day: LedgerDay) => day.openReferenceYieldH ?? day.referenceYieldH ?? 0;
  const rated = recorded.filter(day => day.performanceRatio !== null);
  const weight = total(rated, openH);
  const count = (kind: DayKind) => list.filter(d => d.kind === kind).length;
  return {
    solarWh: total(recorded, day => day.solarWh),
    wholeDays: count('whole'),
    partlyDays: count('partly'),
    missingDays: count('missing'),
    days: list.length,
    coveragePct: list.length === 0 ? 0 : total(recorded, day => day.coveragePct) / list.length,
    finalYieldH: known(recorded.map(day => day.finalYieldH)),
    referenceYieldH: known(recorded.map(day => day.referenceYieldH)),
    performanceRatio: weight === 0 ? null : total(rated, day => day.performanceRatio! * openH(day)) / weight,
    fullMin: total(recorded, day => day.fullMin),
    portLimitMin: total(recorded, day => day.portLimitMin),
    worth: known(recorded.map(day => day.worth)),
  };
}

function monthSums(days: readonly ListedDay[]): MonthSum[] {
  const months = new Map<string, ListedDay[]>();
  for (const day of days) {
    const month = day.date.slice(0, 7);
    const list = months.get(month);
    if (list === undefined) months.set(month, [day]);
    else list.push(day);
  }
  return [...months].map(([month, list]) => ({ month, ...sumsOf(list) }));
}
