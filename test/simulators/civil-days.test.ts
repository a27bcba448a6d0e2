import { describe, expect, it } from 'vitest';
import { civilDays, isoWithOffset } from '../../simulators/plant/civil-days.ts';

const HOUR_MS = 3_600_000;

describe('civil days of the plant', () => {
  it.each([
    ['Europe/Lisbon', '2026-03-29', 23],
    ['Europe/Lisbon', '2026-10-25', 25],
    ['America/Havana', '2026-03-08', 23],
    ['America/Santiago', '2026-09-06', 23],
    ['Australia/Lord_Howe', '2026-04-05', 24.5],
    ['Asia/Kolkata', '2026-06-01', 24],
    ['Pacific/Kiritimati', '2026-06-01', 24],
  ])('in %s make %s a day of %d hours', (zone, date, hours) => {
    const days = civilDays(zone);
    const day = days.at(Date.parse(`${date}T12:00:00Z`) - days.offsetMs(Date.parse(`${date}T12:00:00Z`)));
    expect(day.date).toBe(date);
    expect((day.endMs - day.startMs) / HOUR_MS).toBe(hours);
    const dateOf = (ms: number) => new Intl.DateTimeFormat('sv-SE', { timeZone: zone }).format(ms);
    expect(dateOf(day.startMs)).toBe(date);
    expect(dateOf(day.startMs - 1)).not.toBe(date);
    expect(dateOf(day.endMs - 1)).toBe(date);
    expect(dateOf(day.endMs)).not.toBe(date);
  });

  it('are written with the zone’s offset', () => {
    const ms = Date.UTC(2026, 5, 1, 22, 15, 30);
    expect(isoWithOffset(ms, civilDays('Asia/Kolkata').offsetMs(ms))).toBe('2026-06-02T03:45:30+05:30');
    expect(isoWithOffset(ms, civilDays('America/St_Johns').offsetMs(ms))).toBe('2026-06-01T19:45:30-02:30');
  });
});
