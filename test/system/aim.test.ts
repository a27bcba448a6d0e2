/** `wattkeep aim` as it is called: the built program, its JSON, and what it refuses. */
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { BEST_PLANES } from '../reference/plane.ts';
import { SUN_EVENTS, SUN_POSITIONS } from '../reference/sun.ts';
import { built } from '../support/built.ts';

interface Said {
  at: string;
  sun: { zenithDeg: number; elevationDeg: number; apparentElevationDeg: number; azimuthDeg: number };
  sunriseAt: string | null;
  sunsetAt: string | null;
  polar: null | 'up' | 'down';
  clearSky: { ghiWm2: number; dniWm2: number; dhiWm2: number };
  planeOfArrayWm2: number;
  expectedPowerW: number;
  bestNow: { tiltDeg: number; azimuthDeg: number };
  bestRestOfDay: { tiltDeg: number; azimuthDeg: number; energyWhM2: number };
}

const run = (...args: string[]) => {
  const { status, stdout, stderr } = spawnSync(process.execPath, [built('agent/main.js'), 'aim', ...args], {
    encoding: 'utf8',
    timeout: 30_000,
  });
  return { status, stdout, stderr };
};
const said = (...args: string[]): Said => {
  const { status, stdout, stderr } = run(...args, '--json');
  expect([status, stderr]).toEqual([0, '']);
  return JSON.parse(stdout) as Said;
};
const place = (row: { latitudeDeg: number; longitudeDeg: number }) => `${row.latitudeDeg},${row.longitudeDeg}`;
const near = (found: number, expected: number, tolerance: number) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(tolerance);

interface Pointed {
  expectedPowerW: number;
  nextSunriseAt: string | null;
  restOfDayWh: { best: number; flat: number; leftAtSun: number | null; standing: number | null } | null;
  turnings: { until: object; at: string; to: object; gainWh: number }[];
  shadow: { lengthM: number; towardDeg: number } | null;
  expectedBand: { middleW: number; spreads: { of: string }[] } | null;
}

describe('wattkeep aim --json', () => {
  it('has the keys that are promised, in every case', () => {
    for (const time of ['2026-06-21T10:00:00+02:00', '2026-12-21T23:00:00+01:00']) {
      const answer = said('--at', '46.05,7.1', '--time', time);
      expect(Object.keys(answer)).toEqual([
        'at',
        'sun',
        'sunriseAt',
        'sunsetAt',
        'polar',
        'clearSky',
        'planeOfArrayWm2',
        'expectedPowerW',
        'bestNow',
        'bestRestOfDay',
        'nextSunriseAt',
        'restOfDayWh',
        'turnings',
        'shadow',
        'expectedBand',
      ]);
      expect(Object.keys(answer.sun)).toEqual(['zenithDeg', 'elevationDeg', 'apparentElevationDeg', 'azimuthDeg']);
      expect(Object.keys(answer.clearSky)).toEqual(['ghiWm2', 'dniWm2', 'dhiWm2']);
      expect(Object.keys(answer.bestNow)).toEqual(['tiltDeg', 'azimuthDeg']);
      expect(Object.keys(answer.bestRestOfDay)).toEqual(['tiltDeg', 'azimuthDeg', 'energyWhM2']);
      expect(answer.at).toBe(time);
    }
  });

  it.each(SUN_POSITIONS.slice(3, 7))('tells where the sun stands: $where', row => {
    const { sun } = said('--at', place(row), '--time', row.utc);
    near(sun.zenithDeg, row.zenithDeg, 0.02);
    near(sun.azimuthDeg, row.azimuthDeg, 0.05);
    near(sun.elevationDeg, 90 - row.zenithDeg, 0.02);
    near(sun.apparentElevationDeg, row.apparentElevationDeg, 0.03);
  });

  it.each(SUN_EVENTS.filter(row => /denver|reykjavik|berlin/.test(row.where)))('rises and sets: $where', row => {
    const answer = said('--at', place(row), '--time', `${row.date}T12:00:00Z`, '--zone', row.zone);
    near(Date.parse(answer.sunriseAt!), Date.parse(row.sunrise), 10_000);
    near(Date.parse(answer.sunsetAt!), Date.parse(row.sunset), 10_000);
    expect(answer.sunriseAt!.slice(19)).toBe(row.sunrise.slice(19));
  });

  it.each(BEST_PLANES.filter(row => /denver|sydney/.test(row.place)).slice(0, 4))('$place from $start', row => {
    const where = ['--at', place(row), '--time', row.start, '--altitude-m', String(row.altitudeM)];
    const answer = said(...where);
    near(answer.clearSky.ghiWm2, row.ghiWm2, 0.1);
    near(answer.clearSky.dniWm2, row.dniWm2, 0.1);
    near(answer.planeOfArrayWm2, answer.clearSky.ghiWm2, 1e-5);
    // A brighter sky around the sun than the isotropic one of the table.
    expect(answer.bestRestOfDay.energyWhM2).toBeGreaterThan(1000 * row.dayKwhM2);
    const { tiltDeg, azimuthDeg } = answer.bestNow;
    const best = said(...where, '--tilt', String(tiltDeg), '--azimuth', String(azimuthDeg)).planeOfArrayWm2;
    expect(best).toBeGreaterThan(row.nowWm2);
    near(said(...where, '--zone', 'UTC').clearSky.ghiWm2, answer.clearSky.ghiWm2, 1e-9);
  });

  it('has no sunrise and no sunset in the far north, and says why', () => {
    const north = ['--at=69.65,18.96', '--zone=Europe/Oslo'];
    const june = said(...north, '--time=2025-06-21T12:00:00Z');
    expect([june.sunriseAt, june.sunsetAt, june.polar]).toEqual([null, null, 'up']);
    expect(said(...north, '--time=2025-12-21T12:00:00Z').polar).toBe('down');
  });

  it('answers at the poles and on the date line', () => {
    for (const at of ['90,0', '-90,0', '0,180', '0,-180', '66.56,-180']) {
      const answer = said(`--at=${at}`, '--time=2026-06-21T10:00:00+02:00');
      for (const part of [answer.sun, answer.clearSky, answer.bestNow, answer.bestRestOfDay])
        for (const value of Object.values(part)) expect(Number.isFinite(value)).toBe(true);
    }
    expect(said('--at=-90,0', '--time=2026-06-21T10:00:00+02:00').polar).toBe('down');
  });

  it('takes every option in both forms, negative values included', () => {
    const time = '2026-01-10T09:00:00+11:00';
    const apart = said('--at', '-35,149', '--time', time, '--tilt', '30', '--azimuth', '-10', '--peak-w', '270');
    const joined = said('--at=-35,149', `--time=${time}`, '--tilt=30', '--azimuth=350', '--peak-w=270');
    expect(joined).toEqual(apart);
    expect(said('--at', '-35,149', '--time', time, '--altitude-m', '-100').at).toBe(time);
    const hazy = said('--at=-35,149', `--time=${time}`, '--turbidity=6');
    expect(hazy.clearSky.dniWm2).toBeLessThan(apart.clearSky.dniWm2);
  });

  it('takes an instant in milliseconds since 1970 too, whose day is that of UTC or of the zone', () => {
    const at = Date.parse('2026-06-21T10:00:00+02:00');
    const iso = said('--at', '46.05,7.1', '--time', '2026-06-21T08:00:00Z');
    expect(said('--at', '46.05,7.1', '--time', String(at))).toEqual(iso);
    expect(said('--at', '46.05,7.1', `--time=${at}`, '--zone=Asia/Kathmandu').at).toBe('2026-06-21T13:45:00+05:45');
  });

  it('takes the civil day of the instant as written where no zone is named', () => {
    const answer = said('--at', '39.7392,-104.9903', '--time', '2025-03-09T23:30:00-0700');
    expect(answer.at).toBe('2025-03-09T23:30:00-07:00');
    expect(answer.sunriseAt).toMatch(/^2025-03-09T06:20:1\d-07:00$/);
    expect(said('--at', '39.7392,-104.9903', '--time', '2025-03-10T06:30:00Z').sunriseAt).toMatch(/^2025-03-10T13/);
  });

  it('tells what these panels gather each way, what turning them once more gains, and a shadow to aim by', () => {
    const morning = ['--at', '39.7392,-104.9903', '--time', '2025-06-21T07:00:00-06:00', '--zone', 'America/Denver'];
    const { restOfDayWh, turnings, shadow, expectedBand, expectedPowerW, nextSunriseAt } = said(
      ...morning,
      '--altitude-m=1609',
      '--peak-w=270',
      '--tilt=30',
    ) as unknown as Pointed;
    expect(restOfDayWh!.leftAtSun! / restOfDayWh!.flat).toBeLessThan(0.6);
    expect(restOfDayWh!.best).toBeGreaterThanOrEqual(restOfDayWh!.flat);
    expect(restOfDayWh!.best).toBeGreaterThan(restOfDayWh!.standing!);
    expect(turnings).toHaveLength(3);
    expect(turnings[0]!.gainWh).toBeGreaterThan(0.25 * restOfDayWh!.best);
    expect(turnings[0]!.at).toMatch(/^2025-06-21T1[34]:[03]0:00-06:00$/);
    expect(shadow!.lengthM).toBeCloseTo(3.88, 1);
    expect(shadow!.towardDeg).toBeCloseTo(251.3, 1);
    expect(expectedBand!.middleW).toBeCloseTo(expectedPowerW, 6);
    expect(expectedBand!.spreads.map(({ of }) => of).sort()).toEqual(['air', 'dirt', 'label', 'plane', 'warmth']);
    expect(nextSunriseAt).toMatch(/^2025-06-22T05:32/);
    const night = said('--at', '69.65,18.96', '--time', '2025-12-21T12:00:00+01:00') as unknown as Pointed;
    expect(night).toMatchObject({ restOfDayWh: null, turnings: [], shadow: null, nextSunriseAt: null });
    expect(said(...morning, '--peak-w=0')).toMatchObject({ restOfDayWh: null, turnings: [] });
  });
});

describe('wattkeep aim', () => {
  it('prints a few lines for a reader', () => {
    const { status, stdout } = run('--at', '46.05,7.1', '--time', '2026-06-21T10:00:00+02:00', '--tilt', '30');
    expect(status).toBe(0);
    expect(stdout.split('\n').length).toBeLessThan(14);
    for (const word of ['sun', 'clear sky', 'on the plane', 'best now', 'sunrise', 'turned once', "a metre's peg"])
      expect(stdout).toContain(word);
    const night = run('--at', '46.05,7.1', '--time', '2026-06-21T23:00:00+02:00').stdout;
    for (const word of ['turned once', 'peg', 'expected now', '100 W till']) expect(night).not.toContain(word);
    expect(run('--help').stdout).toContain('--altitude-m');
  });

  it.each([
    [['--at', '91,7', '--time', '2026-06-21T10:00:00Z'], 'latitude'],
    [['--at', '46,181', '--time', '2026-06-21T10:00:00Z'], 'longitude'],
    [['--at', '46', '--time', '2026-06-21T10:00:00Z'], '--at'],
    [['--at', 'NaN,7', '--time', '2026-06-21T10:00:00Z'], 'latitude'],
    [['--at', '46,', '--time', '2026-06-21T10:00:00Z'], 'longitude'],
    [['--time', '2026-06-21T10:00:00Z'], 'place'],
    [['--at', '46,7'], 'time'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00'], '--time'],
    [['--at', '46,7', '--time', '2026-02-30T10:00:00Z'], '--time'],
    [['--at', '46,7', '--time', '2026'], '--time'],
    [['--at', '46,7', '--time', '20260621'], '--time'],
    [['--at', '46,7', '--time', '202606211000'], '--time'],
    [['--at', '46,7', '--time', '1782028800'], '--time'],
    [['--at', '46,7', '--time', '1700-06-21T10:00:00Z'], '--time'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--zone', 'Mars/Base'], '--zone'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--tilt', '91'], '--tilt'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--tilt', '-1'], '--tilt'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--azimuth', 'south'], '--azimuth'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--peak-w', '-5'], '--peak-w'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--turbidity', '0'], '--turbidity'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--altitude-m', '1e9'], '--altitude-m'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', '--tlit', '5'], '--tilt'],
    [['--at', '46,7', '--time', '2026-06-21T10:00:00Z', 'now'], 'now'],
  ])('refuses %j with 2 and says what to give', (args, named) => {
    const { status, stdout, stderr } = run(...args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain(named);
    expect(stderr).toContain('USAGE');
  });
});
