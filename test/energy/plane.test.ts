import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bestUntil } from '#energy/aiming';
import { bestPlaneNow, bestPlaneOver, meanPlaneWm2, type SkyStep, skyStep } from '#energy/laws/best-plane';
import { cosIncidence, incidenceDeg } from '#energy/laws/incidence';
import { ashraeModifier, physicalModifier } from '#energy/laws/incidence-modifier';
import { hayDavies, isotropic, totalWm2 } from '#energy/laws/plane-of-array';
import { type ClearSky, clearSkyOver } from '#energy/sky';
import { BEST_PLANES, INCIDENCE, MODIFIERS, TRANSPOSITION } from '../reference/plane.ts';

const RAD = Math.PI / 180;
const HOUR_MS = 3_600_000;
const near = (found: number, expected: number, tolerance: number) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(tolerance);

it('every table has the rows it was given', () => {
  expect([INCIDENCE, TRANSPOSITION, MODIFIERS, BEST_PLANES].map(t => t.length)).toEqual([7, 32, 13, 19]);
});

describe('the angle of incidence', () => {
  it.each(INCIDENCE)('on tilt %f°, azimuth %f° of a sun at %f°, %f° is %f°', (tiltDeg, azimuthDeg, zenith, sun, aoi) =>
    near(incidenceDeg(zenith, sun, { tiltDeg, azimuthDeg }), aoi, 1e-4),
  );
});

describe('the light on a plane', () => {
  it.each(TRANSPOSITION)('$sky on tilt $tiltDeg°, azimuth $azimuthDeg°', row => {
    const cosAoi = cosIncidence(row.zenithDeg, row.sunAzimuthDeg, row);
    const ours = hayDavies(row, row.extraWm2, Math.cos(row.zenithDeg * RAD), cosAoi, row.tiltDeg);
    near(ours.beamWm2, row.beamWm2, 0.1);
    near(ours.groundWm2, row.groundWm2, 0.1);
    near(ours.circumsolarWm2 + ours.skyWm2, row.hayDaviesSkyWm2, 0.1);
    near(totalWm2(ours), row.hayDaviesWm2, 0.1);
    const plain = isotropic(row, cosAoi, row.tiltDeg);
    near(plain.skyWm2, row.isotropicSkyWm2, 0.1);
    near(totalWm2(plain), row.isotropicWm2, 0.1);
    // The best plane's own way of writing it gives the same.
    near(meanPlaneWm2([skyStep(row.zenithDeg, row.sunAzimuthDeg, row, row.extraWm2)], row), totalWm2(ours), 1e-9);
  });

  it('on a flat plane is the level total', () => {
    fc.assert(
      fc.property(anySky, fc.double({ min: 0, max: 360, noNaN: true }), (sky, azimuthDeg) => {
        const flat = { tiltDeg: 0, azimuthDeg };
        const cosAoi = cosIncidence(sky.zenithDeg, sky.sunAzimuthDeg, flat);
        const cosZ = Math.cos(sky.zenithDeg * RAD);
        near(totalWm2(isotropic(sky, cosAoi, 0)), sky.ghiWm2, 1e-9);
        // Within a degree of the horizon the bright ring is held finite, and a little of it is lost.
        if (cosZ > 0.01745) near(totalWm2(hayDavies(sky, 1366.1, cosZ, cosAoi, 0)), sky.ghiWm2, 1e-9);
      }),
    );
  });

  it('is never negative, and has no beam where the sun is behind the plane', () => {
    fc.assert(
      fc.property(anySky, anyPlane, (sky, plane) => {
        const cosAoi = cosIncidence(sky.zenithDeg, sky.sunAzimuthDeg, plane);
        const parts = hayDavies(sky, 1366.1, Math.cos(sky.zenithDeg * RAD), cosAoi, plane.tiltDeg);
        for (const part of Object.values(parts)) expect(part).toBeGreaterThanOrEqual(0);
        if (cosAoi <= 0) expect(parts.beamWm2 + parts.circumsolarWm2).toBe(0);
      }),
    );
  });
});

describe('what the cover lets through', () => {
  it.each(MODIFIERS)('at %d°', (aoiDeg, ashrae, physical) => {
    near(ashraeModifier(aoiDeg), ashrae, 1e-4);
    near(physicalModifier(aoiDeg), physical, 1e-4);
  });

  it('falls as light comes more from the side, from 1 to 0', () => {
    const angles = Array.from({ length: 1081 }, (_, i) => i / 12);
    for (const law of [ashraeModifier, physicalModifier]) {
      const shares = angles.map(angle => law(angle));
      expect(shares[0]).toBe(1);
      expect(shares.at(-1)).toBe(0);
      for (const [i, share] of shares.entries()) expect(share).toBeLessThanOrEqual((shares[i - 1] ?? 1) + 1e-12);
      expect(law(120)).toBe(0);
    }
  });
});

/** With every part of the sky equally bright, as the reference planes were found. */
const isotropicStep = (sky: ClearSky): SkyStep => ({
  ...skyStep(sky.apparentZenithDeg, sky.sun.azimuthDeg, sky, sky.extraWm2),
  fromSunWm2: sky.dniWm2,
  fromSkyWm2: sky.dhiWm2,
});

const until = (start: string) => Date.parse(`${start.slice(0, 10)}T00:00:00${start.slice(-6)}`) + 24 * HOUR_MS;

describe('the best plane', () => {
  for (const row of BEST_PLANES) {
    const skyAt = clearSkyOver({ ...row, turbidity: 3 });
    const start = Date.parse(row.start);
    const instants: number[] = [];
    for (let at = start; at < until(row.start); at += HOUR_MS / 12) instants.push(at);
    const steps = instants.map(at => isotropicStep(skyAt(at)));
    const kwh = (plane: { tiltDeg: number; azimuthDeg: number }) =>
      (meanPlaneWm2(steps, plane) * steps.length) / 12_000;

    it(`in ${row.place} from ${row.start}: the sky it is found under is the reference's`, () => {
      const sky = skyAt(start);
      near(sky.apparentZenithDeg, row.zenithDeg, 0.005);
      near(sky.sun.azimuthDeg, row.sunAzimuthDeg, 0.01);
      near(sky.ghiWm2, row.ghiWm2, 0.1);
      near(sky.dniWm2, row.dniWm2, 0.1);
      near(sky.extraWm2, row.extraWm2, 0.01);
    });

    it(`in ${row.place} from ${row.start}: gives what the best gives, now and until midnight`, () => {
      const now = bestPlaneNow(steps[0]!);
      expect(meanPlaneWm2([steps[0]!], now)).toBeGreaterThanOrEqual(0.999 * row.nowWm2);
      near(now.tiltDeg, row.nowTiltDeg, 0.1);
      const left = bestPlaneOver(steps);
      expect(kwh(left)).toBeGreaterThanOrEqual(0.999 * row.dayKwhM2);
      near(kwh({ tiltDeg: row.dayTiltDeg, azimuthDeg: row.dayAzimuthDeg }), row.dayKwhM2, 0.0005 * row.dayKwhM2);
      near(kwh(left), row.dayKwhM2, 0.0005 * row.dayKwhM2);
      near(kwh({ tiltDeg: 0, azimuthDeg: 0 }), row.flatKwhM2, 0.0005 * row.flatKwhM2);
      const atTheSun = { tiltDeg: row.zenithDeg, azimuthDeg: row.sunAzimuthDeg };
      near(kwh(atTheSun), row.leftKwhM2, 0.0005 * row.leftKwhM2);
      const tracked = steps.reduce((sum, step) => sum + meanPlaneWm2([step], bestPlaneNow(step)) / 12_000, 0);
      near(tracked, row.trackedKwhM2, 0.001 * row.trackedKwhM2);
    });

    it(`in ${row.place} from ${row.start}: beats every plane of a grid under the brighter sky around the sun`, () => {
      const found = bestUntil(start, until(row.start), skyAt);
      const bright = instants.map(at => {
        const sky = skyAt(at);
        return skyStep(sky.apparentZenithDeg, sky.sun.azimuthDeg, sky, sky.extraWm2);
      });
      let best = 0;
      for (let tiltDeg = 0; tiltDeg <= 90; tiltDeg += 5)
        for (let azimuthDeg = 0; azimuthDeg < 360; azimuthDeg += 5)
          best = Math.max(best, meanPlaneWm2(bright, { tiltDeg, azimuthDeg }));
      expect(found.energyWhM2).toBeGreaterThanOrEqual((best * bright.length) / 12);
    });
  }

  it('is flat under an overcast sky and in the dark', () => {
    const overcast = skyStep(40, 180, { ghiWm2: 150, dniWm2: 0, dhiWm2: 150 }, 1366.1);
    expect(bestPlaneNow(overcast).tiltDeg).toBe(0);
    expect(bestPlaneOver([overcast, overcast]).tiltDeg).toBe(0);
    expect(bestPlaneOver([]).tiltDeg).toBe(0);
    expect(bestPlaneNow(skyStep(120, 0, { ghiWm2: 0, dniWm2: 0, dhiWm2: 0 }, 1366.1)).tiltDeg).toBe(0);
  });

  it('aimed at the morning sun and left there is far worse than flat', () => {
    const row = BEST_PLANES[0]!;
    expect(row.leftKwhM2).toBeLessThan(0.6 * row.flatKwhM2);
    const skyAt = clearSkyOver({ ...row, turbidity: 3 });
    const steps: SkyStep[] = [];
    for (let at = Date.parse(row.start); at < until(row.start); at += HOUR_MS / 12) {
      const sky = skyAt(at);
      steps.push(skyStep(sky.apparentZenithDeg, sky.sun.azimuthDeg, sky, sky.extraWm2));
    }
    const aimed = meanPlaneWm2(steps, bestPlaneNow(steps[0]!));
    expect(aimed).toBeLessThan(0.6 * meanPlaneWm2(steps, { tiltDeg: 0, azimuthDeg: 0 }));
  });
});

const anyPlane = fc.record({
  tiltDeg: fc.double({ min: 0, max: 90, noNaN: true }),
  azimuthDeg: fc.double({ min: 0, max: 360, noNaN: true }),
});
/** A sky whose parts close: global = beam · cos z + diffuse. */
const anySky = fc
  .record({
    zenithDeg: fc.double({ min: 0, max: 90, noNaN: true }),
    sunAzimuthDeg: fc.double({ min: 0, max: 360, noNaN: true }),
    dniWm2: fc.double({ min: 0, max: 1100, noNaN: true }),
    dhiWm2: fc.double({ min: 0, max: 500, noNaN: true }),
  })
  .map(sky => ({ ...sky, ghiWm2: sky.dniWm2 * Math.cos(sky.zenithDeg * RAD) + sky.dhiWm2 }));
