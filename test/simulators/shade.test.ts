import { describe, expect, it } from 'vitest';
import { shedFacts, shedPlace } from '../../simulators/honey-shed.ts';
import { createArray } from '../../simulators/plant/electric/array.ts';
import { globalMaximum } from '../../simulators/plant/electric/string.ts';
import { solis } from '../../simulators/plant/light/clear-sky.ts';
import { createShade, skylineTable } from '../../simulators/plant/light/shade.ts';
import { createSun, type SunDirection } from '../../simulators/plant/sun.ts';
import { DAY_MS, HOUR_MS, MIDNIGHT } from './shed.ts';

const RAD = Math.PI / 180;
const sunAt = (azimuthDeg: number, elevationDeg: number): SunDirection => ({
  east: Math.cos(elevationDeg * RAD) * Math.sin(azimuthDeg * RAD),
  north: Math.cos(elevationDeg * RAD) * Math.cos(azimuthDeg * RAD),
  up: Math.sin(elevationDeg * RAD),
  extraterrestrialWm2: 1361,
});

describe('a skyline', () => {
  const points = [
    { azimuthDeg: 350, elevationDeg: 10 },
    { azimuthDeg: 10, elevationDeg: 20 },
    { azimuthDeg: 180, elevationDeg: 3 },
  ];

  it('runs straight from corner to corner, through north as well', () => {
    const table = skylineTable(points);
    expect([table[350], table[0], table[10], table[180]]).toEqual([10, 15, 20, 3]);
    expect(table[95]).toBeCloseTo(11.5, 9);
  });

  it('hides the sun below it and lets it rise over half a degree', () => {
    const shade = createShade({ skyline: points, near: [] }, 1);
    expect(shade.overSkyline(sunAt(0, 14))).toBe(0);
    expect(shade.overSkyline(sunAt(0, 15))).toBeCloseTo(0.5, 2);
    expect(shade.overSkyline(sunAt(0, 15.5))).toBe(1);
    expect(shade.domeShare).toBeGreaterThan(0.9);
    expect(shade.domeShare).toBeLessThan(1);
  });
});

describe('a chimney', () => {
  const chimney = {
    name: 'chimney',
    shape: 'board',
    azimuthDeg: 270,
    distanceM: 8,
    widthM: 0.8,
    heightM: 6,
    throughShare: 0,
  } as const;
  const shade = createShade({ skyline: [], near: [chimney] }, 1);
  const spot = (northM: number) => ({ eastM: 0, northM });

  it('hides the sun behind it and no other', () => {
    expect(shade.atSpot(sunAt(270, 20), spot(0), 0)).toBe(0);
    expect(shade.atSpot(sunAt(250, 20), spot(0), 0)).toBe(1);
    expect(shade.atSpot(sunAt(270, 50), spot(0), 0)).toBe(1);
    expect(shade.atSpot(sunAt(90, 20), spot(0), 0)).toBe(1);
    expect(shade.mayBeNear(sunAt(90, 20))).toBe(false);
    expect(shade.mayBeNear(sunAt(268, 20))).toBe(true);
  });

  it('throws an edge as soft as the sun is wide, that passes one spot after the other', () => {
    // Sun due west, the spot one metre aside: then the chimney stands 7° to the left of the sun.
    expect(shade.atSpot(sunAt(270, 20), spot(1), 0)).toBe(1);
    const shares = Array.from({ length: 200 }, (_, k) => shade.atSpot(sunAt(270, 20), spot(0.3 + k * 0.001), 0));
    for (let k = 1; k < shares.length; k++) expect(shares[k]).toBeGreaterThanOrEqual(shares[k - 1]!);
    const soft = shares.filter(s => s > 0 && s < 1).length;
    expect(soft).toBeGreaterThan(50);
    expect(soft).toBeLessThan(110);
  });
});

describe('the shed’s afternoon under a clear sky', () => {
  const place = shedPlace('UTC', MIDNIGHT);
  const facts = shedFacts(place);
  const array = createArray(facts.array, createShade(facts.shade, 1));
  const sun = createSun(place);
  const clear = solis(0.1, 1.5);
  const best: number[] = [];
  const shaded: boolean[] = [];
  const lightOf: number[][] = [];
  for (let ms = MIDNIGHT + 12 * HOUR_MS; ms < MIDNIGHT + DAY_MS - 5 * HOUR_MS; ms += 60_000) {
    const at = sun(ms);
    const light = clear(at.up, at.extraterrestrialWm2);
    array.step({ ...light, sun: at, airTempC: 22, windMs: 1, clearGlobalWm2: light.globalWm2 }, ms, 60);
    best.push(globalMaximum(array.strings).powerW);
    shaded.push(array.shaded());
    lightOf.push(array.panels.map(p => p.planeWm2));
  }

  it('has the chimney’s shadow sweep over the panels one after the other and away again', () => {
    const from = shaded.indexOf(true);
    const dips = lightOf.map(panels => Math.min(...panels) / Math.max(...panels));
    const uneven = dips.filter(d => d < 0.7).length;
    expect(from).toBeGreaterThan(30);
    expect(uneven).toBeGreaterThan(20);
    const first = [0, 1, 2].map(k => lightOf.findIndex(panels => panels[k]! < 0.7 * Math.max(...panels)));
    expect(Math.min(...first)).toBeGreaterThan(0);
    // Whichever way it comes, the middle one is neither first nor last.
    expect((first[1]! - first[0]!) * (first[2]! - first[1]!)).toBeGreaterThan(0);
    expect(Math.abs(first[2]! - first[0]!)).toBeGreaterThan(10);
  });

  it('loses more watts than light while only some rows are shaded', () => {
    const from = shaded.indexOf(true);
    const ratio = best.map((w, i) => w / (lightOf[i]!.reduce((a, b) => a + b, 0) / 3));
    const before = ratio[from - 5]!;
    const worst = Math.min(...ratio.slice(from, from + 60));
    expect(worst).toBeLessThan(0.8 * before);
  });
});
