/**
 * How clear the days of a month are: what panels gave of a cloudless day, as shares. From the owner's own record where
 * enough days are on it: of that month, else of the months beside it, else of all; where not, days of unknown weather.
 */

/** What the panels gave of a cloudless day while nothing held them back. */
export interface RecordedDay {
  /** Civil date `YYYY-MM-DD`. */
  date: string;
  clearness: number;
}

export type WeatherFrom = 'month' | 'season' | 'record' | 'assumed';

export interface Weather {
  /** Shares of a cloudless day, rising; each as likely as the next. */
  clearness: readonly number[];
  from: WeatherFrom;
  /** Recorded days behind it. */
  days: number;
}

/** Fewer days say little of how often it is dull. */
const ENOUGH = { month: 10, season: 15, record: 20 } as const;
/** More than a model's cloudless day is a bright edge of cloud or a model that is too dark. */
const MOST = 1.3;
const SHARES = 40;

/**
 * Anything between dull and clear, as likely as the next: an assumption without a source, the one that the projection of
 * the coming days makes where it knows nothing.
 */
export const UNKNOWN_WEATHER: readonly number[] = Array.from(
  { length: SHARES },
  (_, i) => 0.15 + (0.85 * (i + 0.5)) / SHARES,
);

/** @param month 1 to 12 */
export function weatherOf(days: readonly RecordedDay[], month: number): Weather {
  const apart = (day: RecordedDay) => Math.abs(((Number(day.date.slice(5, 7)) - month + 18) % 12) - 6);
  for (const [from, most] of [
    ['month', 0],
    ['season', 1],
    ['record', 6],
  ] as const) {
    const taken = days.filter(day => apart(day) <= most);
    if (taken.length >= ENOUGH[from]) {
      const clearness = taken.map(day => Math.min(MOST, Math.max(0, day.clearness))).sort((a, b) => a - b);
      return { clearness, from, days: taken.length };
    }
  }
  return { clearness: UNKNOWN_WEATHER, from: 'assumed', days: 0 };
}
