import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { startOfDate } from '#energy/civil-day';
import { absoluteAirMass, airMass } from '#energy/laws/air-mass';
import { erbs } from '#energy/laws/erbs';
import { dayOfYear, extraterrestrialWm2 } from '#energy/laws/extraterrestrial';
import { haurwitzGhiWm2 } from '#energy/laws/haurwitz';
import { ineichen } from '#energy/laws/ineichen';
import { pressurePa } from '#energy/laws/pressure';
import { sunPosition } from '#energy/laws/sun-position';
import { ALTITUDE_CAP_M, clearSkyOver, DEFAULT_TURBIDITY } from '#energy/sky';
import {
  AIR_MASS,
  CLEAR_DAYS,
  ERBS,
  EXTRATERRESTRIAL,
  HAURWITZ,
  INEICHEN,
  INEICHEN_PRINTED,
  PRESSURES,
} from '../reference/clear-sky.ts';

const near = (found: number, expected: number, tolerance: number) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(tolerance);

it('every table has the rows it was given', () => {
  const counts = [AIR_MASS, HAURWITZ, PRESSURES, EXTRATERRESTRIAL, INEICHEN, CLEAR_DAYS, ERBS].map(t => t.length);
  expect(counts).toEqual([15, 8, 9, 7, 67, 7, 5]);
});

describe('the air', () => {
  it.each(AIR_MASS)('is %f° from the zenith as thick as %s', (zenithDeg, expected) => {
    if (expected === null) expect(airMass(zenithDeg)).toBe(Number.POSITIVE_INFINITY);
    else near(airMass(zenithDeg), expected, 1e-6);
  });

  it.each(PRESSURES)('at %d m presses with %f Pa', (altitudeM, expected) =>
    near(pressurePa(altitudeM), expected, 0.01),
  );

  it.each(EXTRATERRESTRIAL)('gets on %s, day %d, %f W/m² from outside', (date, day, expected, with1361) => {
    expect(dayOfYear(Date.parse(`${date}T12:00:00Z`))).toBe(day);
    near(extraterrestrialWm2(day), expected, 1e-4);
    near(extraterrestrialWm2(day, 1361), with1361, 1e-4);
  });
});

describe('the clear sky', () => {
  it.each(HAURWITZ)('after Haurwitz at %f° gives %f W/m²', (zenithDeg, expected) =>
    near(haurwitzGhiWm2(zenithDeg), expected, 1e-4),
  );

  it.each(INEICHEN)(
    'after Ineichen and Perez: zenith %f°, %d m, turbidity %d',
    (zenithDeg, altitudeM, turbidity, mass, ghi, dni, dhi) => {
      const thickness = absoluteAirMass(airMass(zenithDeg), pressurePa(altitudeM));
      near(thickness, mass, 1e-5);
      const sky = ineichen(zenithDeg, thickness, turbidity, altitudeM, 1364);
      near(sky.ghiWm2, ghi, 0.1);
      near(sky.dniWm2, dni, 0.1);
      near(sky.dhiWm2, dhi, 0.1);
    },
  );

  it('agrees with the row printed for it', () => {
    const sky = ineichen(10, 1, 3, 0, 1364);
    near(sky.ghiWm2, INEICHEN_PRINTED.ghiWm2, 1e-5);
    near(sky.dniWm2, INEICHEN_PRINTED.dniWm2, 1e-5);
    near(sky.dhiWm2, INEICHEN_PRINTED.dhiWm2, 1e-5);
  });

  it.each(CLEAR_DAYS)('gathers over a whole day: $place $date', row => {
    const sum = { ghi: 0, dni: 0, dhi: 0, haurwitz: 0 };
    const start = startOfDate(row.date, row.zone);
    const pressure = pressurePa(row.altitudeM);
    for (let at = start; at < start + 86_400_000; at += 60_000) {
      const zenithDeg = 90 - sunPosition(at, row.latitudeDeg, row.longitudeDeg, pressure).apparentElevationDeg;
      const thickness = absoluteAirMass(airMass(zenithDeg), pressure);
      const sky = ineichen(zenithDeg, thickness, 3, row.altitudeM, extraterrestrialWm2(dayOfYear(at)));
      sum.ghi += sky.ghiWm2 / 60_000;
      sum.dni += sky.dniWm2 / 60_000;
      sum.dhi += sky.dhiWm2 / 60_000;
      sum.haurwitz += haurwitzGhiWm2(zenithDeg) / 60_000;
    }
    near(sum.ghi, row.ghiKwhM2, 0.001 * row.ghiKwhM2);
    near(sum.dni, row.dniKwhM2, 0.001 * row.dniKwhM2);
    near(sum.dhi, row.dhiKwhM2, 0.001 * row.dhiKwhM2);
    near(sum.haurwitz, row.haurwitzKwhM2, 0.001 * row.haurwitzKwhM2);
  });

  it('of a place is that of the law up to 2500 m, and above no brighter than there by its altitude terms', () => {
    const noon = Date.parse('2025-03-20T17:21:00Z');
    const skyAt = (altitudeM: number) =>
      clearSkyOver({ latitudeDeg: -0.18, longitudeDeg: -78.47, altitudeM, turbidity: DEFAULT_TURBIDITY })(noon);
    const sky = skyAt(ALTITUDE_CAP_M);
    const thickness = absoluteAirMass(airMass(sky.apparentZenithDeg), pressurePa(ALTITUDE_CAP_M));
    expect(ineichen(sky.apparentZenithDeg, thickness, 3, ALTITUDE_CAP_M, sky.extraWm2).ghiWm2).toBe(sky.ghiWm2);
    expect(skyAt(4000).ghiWm2).toBeLessThan(1.06 * sky.ghiWm2);
    expect(skyAt(4000).ghiWm2).toBeLessThan(sky.extraWm2);
  });

  it('is never negative, never more than comes from outside, and dark with the sun down', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 180, noNaN: true }),
        fc.double({ min: 1, max: 10, noNaN: true }),
        fc.double({ min: -400, max: ALTITUDE_CAP_M, noNaN: true }),
        (zenithDeg, turbidity, altitudeM) => {
          const thickness = absoluteAirMass(airMass(zenithDeg), pressurePa(altitudeM));
          const { ghiWm2, dniWm2, dhiWm2 } = ineichen(zenithDeg, thickness, turbidity, altitudeM, 1366.1);
          for (const part of [ghiWm2, dniWm2, dhiWm2]) expect(part).toBeGreaterThanOrEqual(0);
          expect(dniWm2).toBeLessThan(1366.1);
          expect(ghiWm2).toBeLessThan(1366.1);
          if (zenithDeg > 90) expect(ghiWm2 + dniWm2 + dhiWm2).toBe(0);
        },
      ),
      { numRuns: 1000 },
    );
  });
});

describe('the split of a measured total', () => {
  it.each(ERBS)('of %d W/m² with the sun %d° from the zenith', (ghi, zenithDeg, day, dni, dhi, clearness) => {
    const sky = erbs(ghi, zenithDeg, extraterrestrialWm2(day));
    near(sky.dniWm2, dni, 1e-3);
    near(sky.dhiWm2, dhi, 1e-3);
    near(sky.clearness, clearness, 1e-6);
  });

  it('keeps the total and invents no beam at the horizon', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 1300, noNaN: true }),
        fc.double({ min: 0, max: 120, noNaN: true }),
        (ghi, zenithDeg) => {
          const { dniWm2, dhiWm2 } = erbs(ghi, zenithDeg, 1366.1);
          expect(dniWm2).toBeGreaterThanOrEqual(0);
          expect(dhiWm2).toBeGreaterThanOrEqual(0);
          near(dniWm2 * Math.max(0, Math.cos((zenithDeg * Math.PI) / 180)) + dhiWm2, ghi, 1e-9);
          if (zenithDeg > 87) expect(dniWm2).toBe(0);
        },
      ),
    );
  });
});
