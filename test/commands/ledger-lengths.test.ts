/** Days on which the clocks change, leap days and polar nights, as the Ledger answers them. */
import { describe, expect, it } from 'vitest';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { answerOf, offBy, recordedDays, shedSettings } from '../support/ledger-record.ts';

describe('days of another length or light', () => {
  it.each([
    ['Europe/Rome', '2026-03-29', 42, 12, [4, 5]],
    ['Europe/Rome', '2026-10-25', 42, 12, []],
    ['Australia/Lord_Howe', '2026-10-04', -31.5, 159, [4]],
    ['Australia/Lord_Howe', '2026-04-05', -31.5, 159, []],
    ['Europe/Rome', '2028-02-29', 42, 12, []],
    ['Arctic/Longyearbyen', '2026-12-21', 78, 15, []],
  ])('in %s on %s add up, and are laid out by the wall clock', (zone, date, latitudeDeg, longitudeDeg, skipped) => {
    const settings = shedSettings({ zone, place: { latitudeDeg, longitudeDeg } });
    const isDark = latitudeDeg > 70;
    const record = recordedDays({ from: date, days: 2, stepMs: 300_000, settings, powerW: () => (isDark ? 0 : 40) });
    const { days, carpet } = answerOf(record, { facts: factsOfSettings(settings), zone });
    expect(days[0]!.date).toBe(date);
    expect(days.map(offBy)).toEqual(days.map(() => 0));
    expect(carpet.rows[0]!.flatMap((watts, step) => (watts === null ? step : []))).toEqual(skipped);
    expect(days[0]!.performanceRatio === null).toBe(isDark);
    if (isDark) expect([days[0]!.clearSkyWh, days[0]!.referenceYieldH, days[0]!.fullMin]).toEqual([0, 0, 0]);
  });
});
