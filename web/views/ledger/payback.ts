/**
 * What the energy was worth, summed over the record, beside what the set cost; and when it will have come back, as a
 * range or not at all. Pure. Money in the tariff's currency.
 */
import { shiftDate } from '#energy/civil-day';
import type { LedgerAnswer } from '#messages';
import type { ListedDay } from './figures.ts';

export interface Payback {
  paid: number | null;
  /** First date of the sum: of the whole record where that is known, else of the days shown. */
  sinceDate: string;
  /** True where it begins with the record, so that it can be held against what was paid. */
  fromTheStart: boolean;
  /** Sum at the end of each date, oldest first; it stays where a day is missing. */
  sums: readonly { date: string; worth: number }[];
  worth: number;
  when: When;
}

export type When =
  | { kind: 'back'; date: string | null }
  | { kind: 'range'; from: string; to: string }
  | { kind: 'notYet'; why: 'short' | 'notPaid' | 'past' | 'nothing' };

/** Sun differs from year to year by about this share. Common practice, no source. */
const YEARS_DIFFER = 0.1;
const YEAR_DAYS = 365;
/** Further ahead than this a date says nothing, years. */
const FAR_YEARS = 60;

/**
 * @param begins the range begins before the record does
 * @param running the range reaches today
 */
export function paybackOf(
  days: readonly ListedDay[],
  money: NonNullable<LedgerAnswer['money']>,
  { begins, running }: { begins: boolean; running: boolean },
): Payback | null {
  if (days.every(({ day }) => day === null || day.worth === null)) return null;
  const before = money.before ?? null;
  let worth = before?.worth ?? 0;
  const sums = days.map(({ date, day }) => {
    worth += day?.worth ?? 0;
    return { date, worth };
  });
  // Told and null: what lies before was worth nothing.
  const fromTheStart = begins || money.before !== undefined;
  const sinceDate = before?.sinceDate ?? days[0]!.date;
  const { paid } = money;
  const when = (): When => {
    if (paid === null) return { kind: 'notYet', why: 'notPaid' };
    if (!fromTheStart || !running) return { kind: 'notYet', why: 'past' };
    // On which of the earlier days is not known here.
    if ((before?.worth ?? 0) >= paid) return { kind: 'back', date: null };
    if (worth >= paid) return { kind: 'back', date: sums.find(sum => sum.worth >= paid)?.date ?? null };
    return rangeOf(days, paid - worth);
  };
  return { paid, sinceDate, fromTheStart, sums, worth, when: when() };
}

/**
 * From the last twelve months: at the latest if what was not recorded brought nothing and the sun is poor, at the
 * earliest if it brought as much as the rest did and the sun is good.
 */
function rangeOf(days: readonly ListedDay[], left: number): When {
  if (days.length < YEAR_DAYS) return { kind: 'notYet', why: 'short' };
  const year = days.slice(-YEAR_DAYS);
  const worth = year.reduce((sum, { day }) => sum + (day?.worth ?? 0), 0);
  const covered = year.reduce((sum, { day }) => sum + (day?.coveragePct ?? 0) / 100, 0);
  if (worth <= 0 || covered === 0) return { kind: 'notYet', why: 'nothing' };
  const last = year.at(-1)!.date;
  const slow = (left / (worth * (1 - YEARS_DIFFER))) * YEAR_DAYS;
  const fast = (left / (((worth * YEAR_DAYS) / covered) * (1 + YEARS_DIFFER))) * YEAR_DAYS;
  if (slow > FAR_YEARS * YEAR_DAYS) return { kind: 'notYet', why: 'nothing' };
  return { kind: 'range', from: shiftDate(last, Math.floor(fast)), to: shiftDate(last, Math.ceil(slow)) };
}
