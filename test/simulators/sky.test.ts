import { describe, expect, it } from 'vitest';
import { shedPlace } from '../../simulators/honey-shed.ts';
import { solis } from '../../simulators/plant/light/clear-sky.ts';
import { createSky } from '../../simulators/plant/light/sky.ts';
import { createSun } from '../../simulators/plant/sun.ts';
import { solarDay, weatherOf } from '../../simulators/plant/weather.ts';
import { SOLIS } from '../reference/solis.ts';

const DEG = 180 / Math.PI;
const DAY_MS = 86_400_000;

/** Published positions of the NREL solar position algorithm: true zenith and azimuth, degrees. */
const POSITIONS = [
  ['2024-12-20T21:30:00Z', -33.8688, 151.2093, 57.7202, 98.1986],
  ['2025-04-10T06:45:00Z', -33.8688, 151.2093, 79.9844, 286.8661],
  ['2025-10-12T03:10:00Z', -43.5321, 172.6362, 52.3547, 300.4422],
  ['2025-03-01T16:00:00Z', 39.7392, -104.9903, 64.633, 125.2817],
  ['2025-06-20T23:45:00Z', 33.4484, -112.074, 56.0876, 277.4871],
  ['2025-02-11T06:30:00Z', 35.6762, 139.6503, 70.8832, 235.7808],
] as const;

describe('the plant’s sun', () => {
  it.each(POSITIONS)('stands where the reference algorithm puts it at %s', (iso, lat, lon, zenith, azimuth) => {
    const sun = createSun({ latitudeDeg: lat, longitudeDeg: lon })(Date.parse(iso));
    const z = zenith / DEG;
    const a = azimuth / DEG;
    const cosine = sun.east * Math.sin(z) * Math.sin(a) + sun.north * Math.sin(z) * Math.cos(a) + sun.up * Math.cos(z);
    expect(Math.acos(Math.min(1, cosine)) * DEG).toBeLessThan(0.6);
    expect(sun.east ** 2 + sun.north ** 2 + sun.up ** 2).toBeCloseTo(1, 9);
  });
});

describe('the plant’s clear sky', () => {
  it('meets all 90 published values, at three pressures of the air', () => {
    expect(SOLIS).toHaveLength(90);
    for (const row of SOLIS) {
      const sky = solis(row.aerosol, row.waterCm, row.pressurePa)(Math.sin(row.elevationDeg / DEG), 1364);
      expect(Math.abs(sky.globalWm2 - row.globalWm2)).toBeLessThan(0.001);
      expect(Math.abs(sky.beamWm2 - row.beamWm2)).toBeLessThan(0.001);
      expect(Math.abs(sky.diffuseWm2 - row.diffuseWm2)).toBeLessThan(0.001);
    }
  });

  it('is dark below the horizon', () => {
    expect(solis(0.1, 1)(-0.01, 1364)).toEqual({ beamWm2: 0, diffuseWm2: 0, globalWm2: 0 });
  });
});

describe('the plant’s weather', () => {
  const year = Array.from({ length: 365 }, (_, day) => weatherOf(5, day, 0).regime);

  it('has clear, broken and dull days in a year, never two dull ones in a row', () => {
    const count = (regime: string) => year.filter(r => r === regime).length;
    expect(count('clear')).toBeGreaterThan(90);
    expect(count('broken')).toBeGreaterThan(60);
    expect(count('dull')).toBeGreaterThan(40);
    expect(year.some((r, k) => r === 'dull' && year[k + 1] === 'dull')).toBe(false);
  });

  it('turns at solar midnight', () => {
    expect(solarDay(Date.UTC(2026, 5, 1, 11, 59), -180)).toBe(solarDay(Date.UTC(2026, 5, 1, 12, 1), -180) - 1);
  });
});

describe('passing clouds', () => {
  const noonOf = (regime: string) => {
    const place = shedPlace('UTC', Date.UTC(2026, 10, 20));
    const first = solarDay(Date.UTC(2026, 10, 1), 0);
    const day = Array.from({ length: 60 }, (_, k) => first + k).find(d => weatherOf(5, d, 1).regime === regime)!;
    const sky = createSky(5, place);
    return Array.from({ length: 7200 }, (_, s) => sky(day * DAY_MS + 11 * 3_600_000 + s * 1000));
  };

  it('dim and brighten a broken noon, with peaks above the clear sky at their edges', () => {
    const shares = noonOf('broken').map(s => s.globalWm2 / s.clearGlobalWm2);
    expect(Math.max(...shares)).toBeGreaterThan(1.05);
    expect(Math.max(...shares)).toBeLessThan(1.4);
    expect(Math.min(...shares)).toBeLessThan(0.45);
  });

  it('belong together from one second to the next', () => {
    const shares = noonOf('broken').map(s => s.globalWm2 / s.clearGlobalWm2);
    const steps = shares.slice(1).map((s, k) => Math.abs(s - shares[k]!));
    expect(Math.max(...steps)).toBeLessThan(0.1);
  });

  it('leave little of a dull day and nearly all of a clear one', () => {
    for (const s of noonOf('dull')) expect(s.globalWm2 / s.clearGlobalWm2).toBeLessThan(0.7);
    for (const s of noonOf('clear')) expect(s.globalWm2 / s.clearGlobalWm2).toBeGreaterThan(0.9);
  });
});
