import { describe, expect, it } from 'vitest';
import { FOLDING, laggedC, OPEN_RACK, settledCellC } from '../../simulators/plant/light/cell-temperature.ts';
import { normalOf, onPlane, throughGlass } from '../../simulators/plant/light/plane.ts';
import { MARTIN_RUIZ, PEREZ, SANDIA_CELLS } from '../reference/perez.ts';

const RAD = Math.PI / 180;

const lightOn = (row: (typeof PEREZ)[number]) => {
  const level = Math.sin(row.zenithDeg * RAD);
  const sun = {
    east: level * Math.sin(row.sunAzimuthDeg * RAD),
    north: level * Math.cos(row.sunAzimuthDeg * RAD),
    up: Math.cos(row.zenithDeg * RAD),
    extraterrestrialWm2: row.extraWm2,
  };
  const into = { cosine: 0, beamWm2: 0, skyWm2: 0, groundWm2: 0 };
  const sky = { sun, beamWm2: row.dniWm2, diffuseWm2: row.dhiWm2, globalWm2: row.ghiWm2 };
  onPlane(sky, normalOf(row.tiltDeg, row.azimuthDeg), 0.2, into);
  return into;
};

describe('light on a panel', () => {
  it('meets all 32 published values of the sky’s share', () => {
    expect(PEREZ).toHaveLength(32);
    for (const row of PEREZ) expect(Math.abs(lightOn(row).skyWm2 - row.skyWm2)).toBeLessThan(0.001);
  });

  it('has no beam from behind', () => {
    const north = PEREZ.find(row => row.tiltDeg === 90 && row.azimuthDeg === 180 && row.sunAzimuthDeg < 90)!;
    expect(lightOn(north).beamWm2).toBe(0);
  });

  it('loses its slanting beam at the glass as published', () => {
    for (const [deg, share] of MARTIN_RUIZ) expect(throughGlass(Math.cos(deg * RAD))).toBeCloseTo(share, 4);
  });
});

describe('the warmth of the cells', () => {
  it('meets nine published rows of an open rack', () => {
    for (const [wm2, airC, windMs, cellC] of SANDIA_CELLS)
      expect(Math.abs(settledCellC(OPEN_RACK, wm2, airC, windMs) - cellC)).toBeLessThan(0.001);
  });

  it('of a folding panel lies between an open rack and an insulated back: 54 to 83 °C on a hot noon', () => {
    const hot = settledCellC(FOLDING, 1000, 25, 1);
    expect(hot).toBeGreaterThan(54);
    expect(hot).toBeLessThan(83);
  });

  it('follows the sun with a lag of minutes, the same in one step or in many', () => {
    let many = 20;
    for (let s = 0; s < 240; s++) many = laggedC(many, 50, 1);
    expect(many).toBeCloseTo(laggedC(20, 50, 240), 9);
    expect(many).toBeCloseTo(20 + 30 * (1 - Math.exp(-1)), 6);
  });
});
