import { describe, expect, it } from 'vitest';
import { aimAt } from '#energy/aiming';
import { civilDayOf } from '#energy/civil-day';
import { panelsOf } from '#energy/panel-power';

const SHED = { latitudeDeg: 46.05, longitudeDeg: 7.1, altitudeM: 900, turbidity: 3 };
const AIR = { tempC: 20, windMs: null };
const aim = (iso: string, place = SHED, plane = { tiltDeg: 0, azimuthDeg: 180 }, zone = 'Europe/Zurich') =>
  aimAt(Date.parse(iso), place, plane, panelsOf(270), AIR, civilDayOf(Date.parse(iso), zone));

describe('aiming', () => {
  it('of a flat panel sees the level total', () => {
    const found = aim('2026-06-21T10:00:00+02:00');
    expect(found.planeOfArrayWm2).toBeCloseTo(found.clearSky.ghiWm2, 9);
    expect(found.expectedPowerW).toBeGreaterThan(100);
    expect(found.expectedPowerW).toBeLessThan(270);
  });

  it('at the best plane gathers no less now than at any other', () => {
    const { bestNow } = aim('2026-06-21T10:00:00+02:00');
    const best = aim('2026-06-21T10:00:00+02:00', SHED, bestNow).planeOfArrayWm2;
    for (const tiltDeg of [0, 20, 40, 60, 80])
      for (const azimuthDeg of [60, 90, 120, 150, 180])
        expect(aim('2026-06-21T10:00:00+02:00', SHED, { tiltDeg, azimuthDeg }).planeOfArrayWm2).toBeLessThanOrEqual(
          best,
        );
  });

  it('at night expects nothing now and counts what the coming day holds', () => {
    const night = aim('2026-06-21T01:00:00+02:00');
    expect(night.clearSky).toEqual({ ghiWm2: 0, dniWm2: 0, dhiWm2: 0 });
    expect([night.planeOfArrayWm2, night.expectedPowerW, night.bestNow.tiltDeg]).toEqual([0, 0, 0]);
    expect(night.bestRestOfDay.energyWhM2).toBeGreaterThan(8000);
    expect(aim('2026-06-21T23:00:00+02:00').bestRestOfDay).toEqual({ tiltDeg: 0, azimuthDeg: 0, energyWhM2: 0 });
  });

  it('has less to gather the later it is', () => {
    const left = Array.from(
      { length: 24 },
      (_, hour) => aim(`2026-06-21T${String(hour).padStart(2, '0')}:00:00+02:00`).bestRestOfDay.energyWhM2,
    );
    for (const [i, wh] of left.entries()) expect(wh).toBeLessThanOrEqual(left[i - 1] ?? Number.POSITIVE_INFINITY);
  });

  it('tells a day whose only sunset belongs to the evening before, and days without any', () => {
    const reykjavik = { ...SHED, latitudeDeg: 64.1466, longitudeDeg: -21.9426, altitudeM: 15 };
    const midsummer = aim('2025-06-21T12:00:00Z', reykjavik, undefined, 'Atlantic/Reykjavik');
    expect(new Date(midsummer.sunsetAt!).toISOString().slice(0, 16)).toBe('2025-06-21T00:03');
    expect(new Date(midsummer.sunriseAt!).toISOString().slice(0, 16)).toBe('2025-06-21T02:55');
    expect(midsummer.polar).toBeNull();
    const north = { ...SHED, latitudeDeg: 69.65, longitudeDeg: 18.96 };
    expect(aim('2025-06-21T12:00:00Z', north)).toMatchObject({ sunriseAt: null, sunsetAt: null, polar: 'up' });
    expect(aim('2025-12-21T12:00:00Z', north)).toMatchObject({ sunriseAt: null, sunsetAt: null, polar: 'down' });
  });

  it('finds a good plane where the sun goes all around', () => {
    const north = { ...SHED, latitudeDeg: 78.22, longitudeDeg: 15.63, altitudeM: 20 };
    const day = aim('2025-06-21T00:00:00+02:00', north, undefined, 'Arctic/Longyearbyen').bestRestOfDay;
    expect(day.energyWhM2).toBeGreaterThan(5000);
    expect(day.tiltDeg).toBeLessThan(45);
  });
});
