/** Minutes laid out by the wall clock, over days on which the clocks change. */
import { describe, expect, it } from 'vitest';
import { civilDayOf } from '#energy/civil-day';
import { byHour, carpetRow, wallMinutes } from '#energy/ledger/carpet';

const dayOf = (date: string, zone: string) => {
  const { startMs, endMs } = civilDayOf(Date.parse(`${date}T12:00:00Z`), zone);
  return { startMs, count: (endMs - startMs) / 60_000 };
};
const rowOf = (date: string, zone: string, watts: (m: number) => number) => {
  const { startMs, count } = dayOf(date, zone);
  return carpetRow(
    Float64Array.from({ length: count }, (_, m) => watts(m)),
    wallMinutes(startMs, count, zone),
  );
};

describe('a row of the carpet', () => {
  it('is mean watts by half-hour, null where nothing was recorded and zero where nothing came', () => {
    const row = rowOf('2026-06-21', 'UTC', m => (m < 60 ? Number.NaN : m < 90 ? 0 : m < 100 ? 30 : m < 120 ? 60 : 5));
    expect(row).toHaveLength(48);
    expect(row.slice(0, 5)).toEqual([null, null, 0, 50, 5]);
  });

  it('leaves the hour out that the clocks skip', () => {
    const row = rowOf('2026-03-29', 'Europe/Rome', () => 7);
    expect(row.flatMap((watts, i) => (watts === null ? i : []))).toEqual([4, 5]);
  });

  it('takes the mean of the hour that the clocks repeat', () => {
    // 02:00 comes after 120 minutes, and again after 180.
    const row = rowOf('2026-10-25', 'Europe/Rome', m => (m >= 120 && m < 180 ? 10 : m >= 180 && m < 240 ? 30 : 0));
    expect(row.slice(3, 7)).toEqual([0, 20, 20, 0]);
  });

  it('knows clocks that change by half an hour', () => {
    const skipped = rowOf('2026-10-04', 'Australia/Lord_Howe', () => 7);
    expect(skipped.flatMap((watts, i) => (watts === null ? i : []))).toEqual([4]);
    const repeated = rowOf('2026-04-05', 'Australia/Lord_Howe', m => (m < 90 ? 0 : m < 120 ? 10 : m < 150 ? 30 : 0));
    expect(repeated.slice(2, 5)).toEqual([0, 20, 0]);
  });

  it('counts energy by the hour of the wall clock, an hour that comes twice twice', () => {
    const { startMs, count } = dayOf('2026-10-25', 'Europe/Rome');
    const hours = byHour(new Float64Array(count).fill(6), wallMinutes(startMs, count, 'Europe/Rome'));
    expect([hours[1], hours[2], hours[3]]).toEqual([360, 720, 360]);
  });

  it('needs no zone for a plain day', () => {
    const { startMs, count } = dayOf('2026-06-21', 'Europe/Rome');
    expect(wallMinutes(startMs, count, 'Europe/Rome', true)).toEqual(wallMinutes(startMs, count, 'Europe/Rome'));
  });
});
