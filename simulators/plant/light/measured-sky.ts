/**
 * A sky that was measured instead of drawn: irradiance by rows, straight between them, dark outside their range and over
 * a gap of more than a quarter of an hour. Where only the total was measured it is split after Erbs. W/m², °C, m/s.
 */
import { erbs } from '#energy/laws/erbs';
import { createSun, type Place } from '../sun.ts';
import { solis } from './clear-sky.ts';
import type { SkyAt } from './sky.ts';

export interface MeasuredRow {
  readonly at: number;
  readonly globalWm2: number;
  /** null where it was not measured. */
  readonly beamWm2: number | null;
  readonly diffuseWm2: number | null;
  readonly airTempC: number | null;
  readonly windMs: number | null;
}

const GAP_MS = 900_000;
/** Taken where nobody measured them. */
const MILD_C = 15;
const LIGHT_WIND_MS = 1.5;
/** Air of an ordinary clear day, for what the sky could have given. */
const AEROSOL = 0.1;
const WATER_CM = 1;
const DEG = 180 / Math.PI;

/** @param rows at least two, in order of time */
export function createMeasuredSky(rows: readonly MeasuredRow[], place: Place): SkyAt {
  const sunAt = createSun(place);
  const clearSky = solis(AEROSOL, WATER_CM);
  let k = 0;
  return ms => {
    // Time mostly goes on by a step.
    while (k > 0 && rows[k]!.at > ms) k--;
    while (k < rows.length - 2 && rows[k + 1]!.at <= ms) k++;
    const [from, to] = [rows[k]!, rows[k + 1]!];
    const sun = sunAt(ms);
    const clearGlobalWm2 = clearSky(sun.up, sun.extraterrestrialWm2).globalWm2;
    const share = (ms - from.at) / (to.at - from.at);
    const between = (pick: (row: MeasuredRow) => number | null): number | null => {
      const [a, b] = [pick(from), pick(to)];
      return a === null || b === null ? null : a + Math.min(1, Math.max(0, share)) * (b - a);
    };
    const air = { airTempC: between(r => r.airTempC) ?? MILD_C, windMs: between(r => r.windMs) ?? LIGHT_WIND_MS };
    const seen = share >= 0 && share <= 1 && to.at - from.at <= GAP_MS;
    const globalWm2 = seen && sun.up > 0 ? Math.max(0, between(r => r.globalWm2)!) : 0;
    if (globalWm2 === 0) return { sun, ...air, beamWm2: 0, diffuseWm2: 0, globalWm2: 0, clearGlobalWm2 };
    const beam = between(r => r.beamWm2);
    const diffuse = between(r => r.diffuseWm2);
    const split = erbs(globalWm2, Math.acos(sun.up) * DEG, sun.extraterrestrialWm2);
    return {
      sun,
      ...air,
      beamWm2: Math.max(0, beam ?? split.dniWm2),
      diffuseWm2: Math.max(0, diffuse ?? split.dhiWm2),
      globalWm2,
      clearGlobalWm2,
    };
  };
}
