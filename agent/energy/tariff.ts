/**
 * What a kilowatt-hour from the wall costs at an hour of the civil week. Prices a kWh in one currency; hours of the day
 * are those of the wall clock, so an hour that the clocks repeat costs the same twice.
 */

/** Days as the calendar counts them from Monday. */
export const WEEKDAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;
export type Weekday = (typeof WEEKDAYS)[number];

export interface Tariff {
  /** In hours that `hours` does not name. */
  readonly perKWh: number;
  /** Of several entries for one hour the last one holds; `toHour` is not included. */
  readonly hours?:
    | readonly {
        readonly days: readonly Weekday[];
        readonly fromHour: number;
        readonly toHour: number;
        readonly perKWh: number;
      }[]
    | undefined;
}

/** @param date civil date `YYYY-MM-DD` */
export const weekdayOf = (date: string): Weekday => WEEKDAYS[(new Date(`${date}T00:00:00Z`).getUTCDay() + 6) % 7]!;

/** Price a kWh at an hour of the wall clock. @param hour 0 to 23 */
export const priceOf = (tariff: Tariff, weekday: Weekday, hour: number): number =>
  tariff.hours?.findLast(({ days, fromHour, toHour }) => days.includes(weekday) && hour >= fromHour && hour < toHour)
    ?.perKWh ?? tariff.perKWh;

/**
 * What a day's energy would have cost in the hours it came in.
 *
 * @param energyWh of the day
 * @param shares how much of it came in at each hour of the wall clock, 24 values in any unit; all zero: as if evenly
 */
export function worthOf(tariff: Tariff, weekday: Weekday, energyWh: number, shares: ArrayLike<number>): number {
  let [weight, priced] = [0, 0];
  for (let hour = 0; hour < 24; hour++) {
    const share = shares[hour]!;
    weight += share;
    priced += share * priceOf(tariff, weekday, hour);
  }
  const mean = weight > 0 ? priced / weight : evenPrice(tariff, weekday);
  return (energyWh / 1000) * mean;
}

const evenPrice = (tariff: Tariff, weekday: Weekday): number =>
  WHOLE_DAY.reduce((sum, hour) => sum + priceOf(tariff, weekday, hour), 0) / WHOLE_DAY.length;

const WHOLE_DAY = Array.from({ length: 24 }, (_, hour) => hour);
