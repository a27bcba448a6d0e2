/**
 * The stretch of dates the Ledger shows: a month, a season (the half-year of long or of short days, which change with April
 * and October, by the equinoxes), a calendar year, or everything. Civil dates, both ends included. Pure.
 */
import { shiftDate } from '../civil-day.ts';

export const PERIODS = ['month', 'season', 'year', 'all'] as const;
export type PeriodKind = (typeof PERIODS)[number];

export interface Period {
  kind: PeriodKind;
  from: string;
  to: string;
}

/** The earlier of two civil dates. */
export const earlierOf = (a: string, b: string): string => (a.localeCompare(b) < 0 ? a : b);

const FIRST_DATE = '2000-01-01';
/** A season younger than this tells too little to open with, days. */
const YOUNG_DAYS = 30;

/** The first of a month; months below 1 and above 12 are those of the years beside. */
const first = (year: number, month: number): string => {
  const years = String(year + Math.floor((month - 1) / 12)).padStart(4, '0');
  return `${years}-${String(((((month - 1) % 12) + 12) % 12) + 1).padStart(2, '0')}-01`;
};
/** From the first of a month on, so many months. */
const months = (kind: PeriodKind, year: number, month: number, count: number): Period => ({
  kind,
  from: first(year, month),
  to: shiftDate(first(year, month + count), -1),
});

/** The period of that kind that `date` lies in. Seasons change with April and October, by the equinoxes. */
export function periodOf(kind: PeriodKind, date: string): Period {
  const [year, month] = [Number(date.slice(0, 4)), Number(date.slice(5, 7))];
  if (kind === 'all') return { kind, from: FIRST_DATE, to: date };
  if (kind === 'year') return months(kind, year, 1, 12);
  if (kind === 'month') return months(kind, year, month, 1);
  const start = month < 4 ? -2 : month < 10 ? 4 : 10;
  return months(kind, year, start, 6);
}

const LENGTH = { month: 1, season: 6, year: 12, all: 0 } as const;

/** The one before or after it, or the same a year before. */
export function stepped({ kind, from, to }: Period, way: 'earlier' | 'later' | 'yearEarlier'): Period {
  if (kind === 'all') return { kind, from, to };
  const by = way === 'yearEarlier' ? -12 : way === 'earlier' ? -LENGTH[kind] : LENGTH[kind];
  return months(kind, Number(from.slice(0, 4)), Number(from.slice(5, 7)) + by, LENGTH[kind]);
}

/** What to open with: this season, or this year where the season has only begun. */
export function firstPeriod(today: string, kept: string | null): Period {
  const kind = PERIODS.find(known => known === kept);
  if (kind !== undefined) return periodOf(kind, today);
  const season = periodOf('season', today);
  return shiftDate(season.from, YOUNG_DAYS) > today ? periodOf('year', today) : season;
}
