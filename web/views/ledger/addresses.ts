/** Addresses of the pages below the Ledger. */
import { shiftDate } from '#energy/civil-day';
import type { ListedDay } from './figures.ts';

export const dayAddress = (date: string): string => `/ledger/${date}`;

/** The whole days shown beside another stretch or station, which that page chooses first. */
export function besideAddress(station: string, days: readonly ListedDay[]): string {
  const [first, last] = [days[0]!.date, days.at(-1)!];
  const to = last.kind === 'today' ? shiftDate(last.date, -1) : last.date;
  // Longer stretches are not set beside each other.
  if (to < first || days.length > 366) return '/ledger/beside';
  return `/ledger/beside?${new URLSearchParams({ one: station, oneFrom: first, oneTo: to })}`;
}
