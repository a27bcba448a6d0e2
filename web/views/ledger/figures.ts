/** Sums and means of the ledger. Pure. A mean is taken over whole days only; today is never one. */
import { shiftDate } from '#energy/civil-day';
import type { WireDay } from '#messages';

/** A day counts as whole from this share recorded, %. */
export const WHOLE_FROM_PCT = 98;

export type DayKind = 'whole' | 'partly' | 'today' | 'missing';

export interface LedgerDay {
  date: string;
  kind: DayKind;
  /** Null where the date is not in the record. */
  day: WireDay | null;
}

export interface MonthSum {
  /** `YYYY-MM`. */
  month: string;
  solarWh: number;
  outputWh: number;
  wholeDays: number;
  /** Days of the month that lie in the record's span. */
  days: number;
  /** Share of those days that was recorded, %. */
  coveragePct: number;
}

export interface LedgerFigures {
  days: LedgerDay[];
  solarWh: number;
  /** Input that is not known to be sun. */
  otherWh: number;
  wholeDays: number;
  partlyDays: number;
  missingDays: number;
  /** Mean of the whole days; null where there is none. */
  meanWh: number | null;
  months: MonthSum[];
}

const kindOf = (day: WireDay | null, today: string, date: string): DayKind =>
  day === null ? 'missing' : date === today ? 'today' : day.coveragePct >= WHOLE_FROM_PCT ? 'whole' : 'partly';

/** @param recorded days of the record, oldest first; dates without any reading are absent */
export function ledgerFigures(recorded: readonly WireDay[], today: string): LedgerFigures {
  const byDate = new Map(recorded.map(day => [day.date, day]));
  const dates: string[] = [];
  const last = recorded.at(-1)?.date ?? today;
  for (let date = recorded[0]?.date ?? today; recorded.length > 0 && date <= last; date = shiftDate(date, 1))
    dates.push(date);
  const days = dates.map((date): LedgerDay => {
    const day = byDate.get(date) ?? null;
    return { date, kind: kindOf(day, today, date), day };
  });
  const whole = days.filter(d => d.kind === 'whole').map(d => d.day!);
  const sum = (pick: (day: WireDay) => number) => recorded.reduce((total, day) => total + pick(day), 0);
  const count = (kind: DayKind) => days.filter(d => d.kind === kind).length;
  return {
    days,
    solarWh: sum(day => day.solarWh),
    otherWh: Math.max(
      0,
      sum(day => day.inputWh - day.solarWh),
    ),
    wholeDays: whole.length,
    partlyDays: count('partly'),
    missingDays: count('missing'),
    meanWh: whole.length === 0 ? null : whole.reduce((total, day) => total + day.solarWh, 0) / whole.length,
    months: monthSums(days),
  };
}

function monthSums(days: readonly LedgerDay[]): MonthSum[] {
  const months = new Map<string, LedgerDay[]>();
  for (const day of days) {
    const month = day.date.slice(0, 7);
    months.set(month, [...(months.get(month) ?? []), day]);
  }
  return [...months].map(([month, list]) => ({
    month,
    solarWh: list.reduce((total, d) => total + (d.day?.solarWh ?? 0), 0),
    outputWh: list.reduce((total, d) => total + (d.day?.outputWh ?? 0), 0),
    wholeDays: list.filter(d => d.kind === 'whole').length,
    days: list.length,
    coveragePct: list.reduce((total, d) => total + (d.day?.coveragePct ?? 0), 0) / list.length,
  }));
}
