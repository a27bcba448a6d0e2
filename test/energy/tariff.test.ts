/** Prices by the hour of the civil week. */
import { describe, expect, it } from 'vitest';
import { priceOf, type Tariff, weekdayOf, worthOf } from '#energy/tariff';

const tariff: Tariff = {
  perKWh: 0.3,
  hours: [
    { days: ['mon', 'tue', 'wed', 'thu', 'fri'], fromHour: 8, toHour: 20, perKWh: 0.4 },
    { days: ['fri'], fromHour: 19, toHour: 24, perKWh: 0.1 },
  ],
};

describe('a tariff', () => {
  it('names hours of the week; of several the last one holds, and all others have the plain price', () => {
    expect([7, 8, 19, 20].map(hour => priceOf(tariff, 'mon', hour))).toEqual([0.3, 0.4, 0.4, 0.3]);
    expect([18, 19, 23].map(hour => priceOf(tariff, 'fri', hour))).toEqual([0.4, 0.1, 0.1]);
    expect(priceOf(tariff, 'sun', 12)).toBe(0.3);
    expect(priceOf({ perKWh: 0.25 }, 'wed', 3)).toBe(0.25);
  });

  it('goes by the weekday of the civil date, leap days too', () => {
    expect(['2026-11-28', '2028-02-29', '2024-02-29', '2026-06-01'].map(weekdayOf)).toEqual([
      'sat',
      'tue',
      'thu',
      'mon',
    ]);
  });

  it('prices a day’s energy by the hours it came in, and the shares need not add up to it', () => {
    const shares = new Float64Array(24);
    [shares[7], shares[12]] = [1, 3];
    expect(worthOf(tariff, 'tue', 2000, shares)).toBeCloseTo(2 * (0.25 * 0.3 + 0.75 * 0.4), 12);
    expect(worthOf({ perKWh: 0.3 }, 'tue', 2000, new Float64Array(24))).toBeCloseTo(0.6, 12);
    expect(worthOf(tariff, 'tue', 0, shares)).toBe(0);
  });
});
