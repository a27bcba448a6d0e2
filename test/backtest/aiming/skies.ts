/**
 * Drawn skies for walks: steady, hazy (thin cloud that comes and goes over minutes) and broken, each with its twin
 * without any cloud. Built of the plant's sun, its clear sky with drawn air, and its clouds.
 */
import type { Chance } from '#energy/estimates/chance';
import { noise } from '../../../simulators/plant/chance.ts';
import { solis } from '../../../simulators/plant/light/clear-sky.ts';
import { brokenClouds } from '../../../simulators/plant/light/clouds.ts';
import type { Sky, SkyAt } from '../../../simulators/plant/light/sky.ts';
import { createSun, type Place } from '../../../simulators/plant/sun.ts';

export type SkyKind = 'steady' | 'hazy' | 'broken';
export const SKY_KINDS: readonly SkyKind[] = ['steady', 'hazy', 'broken'];

export interface TwoSkies {
  readonly sky: SkyAt;
  /** The same without a cloud. */
  readonly clear: SkyAt;
}

/** Streams of noise of its own, apart from the plant's. */
const HAZE_SLOW = 101;
const HAZE_FAST = 102;
const AIR = 103;
const WIND = 104;

interface Drawn {
  readonly seed: number;
  readonly aerosol: number;
  readonly waterCm: number;
  readonly airTempC: number;
  readonly windMs: number;
  readonly hazeShare: number;
  readonly deckShare: number;
  readonly opening: number;
}

function clouded(kind: SkyKind, d: Drawn, clear: Sky, ms: number): Pick<Sky, 'beamWm2' | 'diffuseWm2'> {
  if (kind === 'steady') {
    // Air is never quite the same from one quarter of an hour to the next.
    const wisp = 0.02 * noise(d.seed, AIR, ms / 900_000);
    return { beamWm2: clear.beamWm2 * (1 - wisp), diffuseWm2: clear.diffuseWm2 * (1 + wisp) };
  }
  if (kind === 'hazy') {
    const thin =
      d.hazeShare * (0.75 * noise(d.seed, HAZE_SLOW, ms / 240_000) + 0.25 * noise(d.seed, HAZE_FAST, ms / 50_000));
    return {
      beamWm2: clear.beamWm2 * (1 - thin),
      diffuseWm2: clear.diffuseWm2 + clear.beamWm2 * clear.sun.up * thin * 0.55,
    };
  }
  const clouds = brokenClouds(d, d.seed, ms);
  const beamWm2 = clear.beamWm2 * clouds.beamShare;
  const diffuseWm2 =
    clouds.covered * clouds.deckShare * clear.globalWm2 +
    (1 - clouds.covered) * clear.diffuseWm2 * 1.15 +
    clouds.edgeShare * clear.globalWm2;
  return { beamWm2, diffuseWm2 };
}

/** Draws the sky of one walk. */
export function drawSkies(kind: SkyKind, place: Place, chance: Chance): TwoSkies {
  const between = (min: number, max: number) => min + (max - min) * chance.uniform();
  const d: Drawn = {
    seed: Math.floor(chance.uniform() * 2 ** 31),
    aerosol: between(0.06, 0.24),
    waterCm: between(0.8, 3.2),
    airTempC: between(2, 30),
    windMs: between(0.5, 4),
    hazeShare: between(0.05, 0.35),
    deckShare: between(0.46, 0.6),
    opening: between(-0.02, 0.14),
  };
  const sunAt = createSun(place);
  const air = solis(d.aerosol, d.waterCm);
  const clear: SkyAt = ms => {
    const sun = sunAt(ms);
    const { beamWm2, diffuseWm2, globalWm2 } = air(sun.up, sun.extraterrestrialWm2);
    const windMs = d.windMs * (0.5 + noise(d.seed, WIND, ms / 120_000));
    return { sun, airTempC: d.airTempC, windMs, beamWm2, diffuseWm2, globalWm2, clearGlobalWm2: globalWm2 };
  };
  const sky: SkyAt = ms => {
    const c = clear(ms);
    const { beamWm2, diffuseWm2 } = clouded(kind, d, c, ms);
    return { ...c, beamWm2, diffuseWm2, globalWm2: beamWm2 * c.sun.up + diffuseWm2 };
  };
  return { sky, clear };
}
