/**
 * Which columns the Ledger draws: a day each, or the mean day of a week or a month where days would be too thin to be
 * told apart. Bars and carpet share them. Pure.
 */
import type { ListedDay } from '../views/ledger/figures.ts';

export type Bin = 'day' | 'week' | 'month';

export interface Column {
  /** Where it begins and ends in the list of days; the end is not included. */
  from: number;
  to: number;
  days: readonly ListedDay[];
  kind: ListedDay['kind'];
  /** The day's energy; of more than one day the mean of the whole ones, or where none is whole of those recorded. */
  solarWh: number | null;
  /** Mean of the days where it is known. */
  clearSkyWh: number | null;
}

export interface Columns {
  bin: Bin;
  /** Days on the axis. */
  days: number;
  list: readonly Column[];
}

/** Narrower columns than this cannot be told apart, CSS px. */
const LEAST_PX = 2.4;
const DAYS_OF: Readonly<Record<Bin, number>> = { day: 1, week: 7, month: 30 };

export function ledgerColumns(days: readonly ListedDay[], widthPx: number): Columns {
  const perDayPx = widthPx / Math.max(1, days.length);
  const bin = (['day', 'week'] as const).find(b => DAYS_OF[b] * perDayPx >= LEAST_PX) ?? 'month';
  const list: Column[] = [];
  let from = 0;
  for (let i = 1; i <= days.length; i++) {
    if (i < days.length && !startsBin(days[i]!.date, bin)) continue;
    list.push(columnOf(days.slice(from, i), from));
    from = i;
  }
  return { bin, days: days.length, list };
}

/** Weeks begin on Mondays. */
function startsBin(date: string, bin: Bin): boolean {
  if (bin === 'day') return true;
  return bin === 'month' ? date.endsWith('-01') : new Date(`${date}T12:00:00Z`).getUTCDay() === 1;
}

function columnOf(days: readonly ListedDay[], from: number): Column {
  const kind = (['whole', 'partly', 'today'] as const).find(k => days.some(d => d.kind === k)) ?? 'missing';
  const clear = days.flatMap(d => d.clearSkyWh ?? []);
  const energies = days.flatMap(d => (d.kind === kind && d.day !== null ? d.day.solarWh : []));
  return {
    from,
    to: from + days.length,
    days,
    kind,
    solarWh: mean(energies),
    clearSkyWh: mean(clear),
  };
}

const mean = (values: readonly number[]): number | null =>
  values.length === 0 ? null : values.reduce((a, b) => a + b, 0) / values.length;
