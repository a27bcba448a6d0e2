/**
 * How a panel stands best, at one instant or left as it is over many. On a plane with normal n an instant gives
 * B·max(n·s, 0) + D·(1 + n_z)/2 + albedo·G·(1 − n_z)/2, with s towards the sun and B, D, G below.
 *
 * That is the Hay-Davies plane (`plane-of-array.ts`) written in n. Over the instants whose sun the plane sees it is
 * linear in n, so the best n lies along its gradient: own derivation, no source. The maximum is flat: 10° off costs 1-2 %.
 */
import type { Plane } from './incidence.ts';
import type { Irradiance } from './ineichen.ts';
import { ALBEDO, COS_Z_AT_LEAST } from './plane-of-array.ts';

const RAD = Math.PI / 180;
export const FLAT: Plane = { tiltDeg: 0, azimuthDeg: 0 };
/** The set of instants a plane sees settles in at most 3 turns on clear days. */
const TURNS = 20;

/** One instant of sky: unit vector towards the sun (east, north, up) and light by where it comes from, W/m². */
export interface SkyStep {
  east: number;
  north: number;
  up: number;
  /** B: from the sun and the bright ring around it, on a plane that faces it. */
  fromSunWm2: number;
  /** D: from the rest of the sky. */
  fromSkyWm2: number;
  /** G: what the ground gets. */
  ghiWm2: number;
}

/**
 * @param zenithDeg apparent zenith angle
 * @param azimuthDeg of the sun
 * @param extraWm2 normal irradiance outside the air
 */
export function skyStep(zenithDeg: number, azimuthDeg: number, sky: Irradiance, extraWm2: number): SkyStep {
  const sinZ = Math.sin(zenithDeg * RAD);
  const up = Math.cos(zenithDeg * RAD);
  const A = sky.dniWm2 / extraWm2; // share of the diffuse light that comes from around the sun
  return {
    east: sinZ * Math.sin(azimuthDeg * RAD),
    north: sinZ * Math.cos(azimuthDeg * RAD),
    up,
    fromSunWm2: sky.dniWm2 + (sky.dhiWm2 * A) / Math.max(up, COS_Z_AT_LEAST),
    fromSkyWm2: sky.dhiWm2 * (1 - A),
    ghiWm2: sky.ghiWm2,
  };
}

/** Normal of a plane: east, north, up. */
type Normal = readonly [east: number, north: number, up: number];

const normalOf = ({ tiltDeg, azimuthDeg }: Plane): Normal => {
  const sinT = Math.sin(tiltDeg * RAD);
  return [sinT * Math.sin(azimuthDeg * RAD), sinT * Math.cos(azimuthDeg * RAD), Math.cos(tiltDeg * RAD)];
};

/** The plane whose normal lies along (east, north, up), upright at most; flat where there is no direction. */
function planeAlong(east: number, north: number, up: number): Plane {
  const level = Math.hypot(east, north);
  if (level < 1e-9) return FLAT;
  const azimuthDeg = Math.atan2(east, north) / RAD;
  return {
    tiltDeg: Math.min(90, Math.atan2(level, up) / RAD),
    azimuthDeg: azimuthDeg < 0 ? azimuthDeg + 360 : azimuthDeg,
  };
}

/** The best plane for one instant. */
export const bestPlaneNow = (step: SkyStep, albedo = ALBEDO): Plane => bestPlaneSeeing([step], () => true, albedo);

/** Mean irradiance over the steps on a plane that stays, W/m²; 0 of no steps. */
export function meanPlaneWm2(steps: readonly SkyStep[], plane: Plane, albedo = ALBEDO): number {
  const [east, north, up] = normalOf(plane);
  const sum = steps.reduce(
    (total, s) =>
      total +
      s.fromSunWm2 * Math.max(0, s.east * east + s.north * north + s.up * up) +
      (s.fromSkyWm2 * (1 + up)) / 2 +
      (albedo * s.ghiWm2 * (1 - up)) / 2,
    0,
  );
  return steps.length === 0 ? 0 : sum / steps.length;
}

/**
 * The best plane to leave as it is over equally long steps. The search starts from flat and from planes that face the
 * sun at one time or another: where the sun goes all around, morning and evening are two hills.
 */
export function bestPlaneOver(steps: readonly SkyStep[], albedo = ALBEDO): Plane {
  const every = Math.max(1, Math.floor(steps.length / 12));
  const starts = steps.filter((_, i) => i % every === 0).map(s => planeAlong(s.east, s.north, s.up));
  let best = FLAT;
  let bestWm2 = meanPlaneWm2(steps, best, albedo);
  for (const start of [FLAT, ...starts]) {
    const plane = climb(steps, start, albedo);
    const planeWm2 = meanPlaneWm2(steps, plane, albedo);
    if (planeWm2 > bestWm2) [best, bestWm2] = [plane, planeWm2];
  }
  return best;
}

/** From a plane to the best one for what it sees, until what it sees no longer changes. */
function climb(steps: readonly SkyStep[], start: Plane, albedo: number): Plane {
  let plane = start;
  for (let turn = 0; turn < TURNS; turn++) {
    const [east, north, up] = normalOf(plane);
    const next = bestPlaneSeeing(steps, s => s.east * east + s.north * north + s.up * up > 0, albedo);
    if (next.tiltDeg === plane.tiltDeg && next.azimuthDeg === plane.azimuthDeg) break;
    plane = next;
  }
  return plane;
}

/** n along Σ B·s over the steps seen + up · (Σ D − albedo · Σ G)/2. */
function bestPlaneSeeing(steps: readonly SkyStep[], sees: (step: SkyStep) => boolean, albedo: number): Plane {
  let east = 0;
  let north = 0;
  let up = 0;
  for (const s of steps) {
    up += (s.fromSkyWm2 - albedo * s.ghiWm2) / 2;
    if (!sees(s)) continue;
    east += s.fromSunWm2 * s.east;
    north += s.fromSunWm2 * s.north;
    up += s.fromSunWm2 * s.up;
  }
  return planeAlong(east, north, up);
}
