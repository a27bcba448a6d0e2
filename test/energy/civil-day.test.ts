import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { civilDate, civilDayOf, shiftDate, startOfDate, zoneOffsetMs } from '#energy/civil-day';

const HOUR = 3_600_000;
const hoursOf = (date: string, zone: string) => {
  const day = civilDayOf(startOfDate(date, zone), zone);
  return (day.endMs - day.startMs) / HOUR;
};

// Dates and zones from the IANA time zone database.
describe('a civil day', () => {
  it.each([
    ['2026-03-29', 'Europe/Berlin', 23],
    ['2026-10-25', 'Europe/Berlin', 25],
    ['2026-03-08', 'America/New_York', 23],
    ['2026-11-01', 'America/New_York', 25],
    ['2026-04-05', 'Australia/Lord_Howe', 24.5],
    ['2026-10-04', 'Australia/Lord_Howe', 23.5],
    ['2026-06-01', 'Asia/Kathmandu', 24],
    ['2018-11-04', 'America/Sao_Paulo', 23], // midnight itself is skipped
  ])('%s in %s has %f hours', (date, zone, hours) => {
    expect(hoursOf(date, zone)).toBe(hours);
  });

  it('begins at 01:00 where midnight is skipped', () => {
    const start = startOfDate('2018-11-04', 'America/Sao_Paulo');
    expect(new Date(start + zoneOffsetMs(start, 'America/Sao_Paulo')).toISOString()).toBe('2018-11-04T01:00:00.000Z');
  });

  it('holds every instant in exactly one day, and days join without gap or overlap', () => {
    const zones = [
      'Europe/Berlin',
      'America/New_York',
      'Australia/Lord_Howe',
      'Asia/Kathmandu',
      'America/St_Johns',
      'Africa/Casablanca',
      'Pacific/Kiritimati',
    ];
    fc.assert(
      fc.property(
        fc.constantFrom(...zones),
        fc.integer({ min: 1_767_225_600_000, max: 1_830_297_600_000 }),
        (zone, at) => {
          const day = civilDayOf(at, zone);
          expect(day.startMs).toBeLessThanOrEqual(at);
          expect(day.endMs).toBeGreaterThan(at);
          expect(civilDate(day.startMs, zone)).toBe(day.date);
          expect(civilDate(day.endMs - 1, zone)).toBe(day.date);
          expect(civilDayOf(day.endMs, zone).startMs).toBe(day.endMs);
        },
      ),
      { numRuns: 200 },
    );
  });

  it('begins where its date first stands on the clock, in every zone since 1970', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Intl.supportedValuesOf('timeZone')),
        fc.integer({ min: 0, max: 2 ** 31 }),
        (zone, second) => {
          const { date, startMs } = civilDayOf(second * 1000, zone);
          expect(civilDate(startMs, zone)).toBe(date);
          expect(civilDate(startMs - 1, zone) < date).toBe(true);
        },
      ),
      { numRuns: 500 },
    );
  });

  it('is found with few questions to Intl, so that half a century of days is walked over at once', () => {
    const asked = vi.spyOn(Intl.DateTimeFormat.prototype, 'formatToParts');
    let at = 0;
    for (let n = 0; n < 365; n++) at = civilDayOf(at, 'Europe/Berlin').endMs;
    expect(asked.mock.calls.length).toBeLessThan(365 * 8);
    asked.mockRestore();
  });

  it('steps over month, year and leap day', () => {
    expect(shiftDate('2028-02-28', 1)).toBe('2028-02-29');
    expect(shiftDate('2026-12-31', 1)).toBe('2027-01-01');
    expect(shiftDate('2026-03-01', -1)).toBe('2026-02-28');
  });
});
