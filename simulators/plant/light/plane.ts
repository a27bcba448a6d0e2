/**
 * Light on a tilted plane: beam, sky and ground. The sky after R. Perez, P. Ineichen, R. Seals, J. Michalsky,
 * R. Stewart, Solar Energy 44 (1990) 271-289, eq. 9 with the coefficients of their table 6 (all sites, composite);
 * the loss of a slanting beam after N. Martin, J. Ruiz, Solar Energy Materials 70 (2001) 25-38, eq. 3, a_r = 0.16.
 * Both are other laws than those the agent inverts with. W/m²; sun and normal as unit vectors.
 */
import type { SunDirection } from '../sun.ts';

export interface Normal {
  readonly east: number;
  readonly north: number;
  readonly up: number;
}

/** The parts that fall on a plane, before shade and before any loss at the glass. */
export interface PlaneLight {
  /** Cosine of the angle of incidence, 0 where the sun is behind. */
  cosine: number;
  beamWm2: number;
  skyWm2: number;
  groundWm2: number;
}

const RAD = Math.PI / 180;

/** Normal of a plane; tilt 0 is flat, azimuth clockwise from true north. */
export function normalOf(tiltDeg: number, azimuthDeg: number): Normal {
  const level = Math.sin(tiltDeg * RAD);
  return {
    east: level * Math.sin(azimuthDeg * RAD),
    north: level * Math.cos(azimuthDeg * RAD),
    up: Math.cos(tiltDeg * RAD),
  };
}

/** Upper bounds of the classes of sky clearness ε. */
const CLEARNESS = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2] as const;
/** f11 f12 f13 f21 f22 f23 of each class, from overcast to clear. */
const BRIGHTNESS: readonly (readonly [number, number, number, number, number, number])[] = [
  [-0.008, 0.588, -0.062, -0.06, 0.072, -0.022],
  [0.13, 0.683, -0.151, -0.019, 0.066, -0.029],
  [0.33, 0.487, -0.221, 0.055, -0.064, -0.026],
  [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
  [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
  [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
  [1.06, -1.6, -0.359, 0.264, -1.127, 0.131],
  [0.678, -0.327, -0.25, 0.156, -1.377, 0.251],
];
const COS_85 = Math.cos(85 * RAD);

/** Relative air mass at a sine of elevation (F. Kasten, A. T. Young, Applied Optics 28 (1989) 4735). */
export function airMass(sinE: number): number {
  const elevationDeg = Math.asin(Math.min(1, Math.max(0, sinE))) / RAD;
  return 1 / (Math.max(0, sinE) + 0.50572 * (6.07995 + elevationDeg) ** -1.6364);
}

export interface SkyLight {
  readonly sun: SunDirection;
  readonly beamWm2: number;
  readonly diffuseWm2: number;
  readonly globalWm2: number;
}

/** Light on a plane of this normal; `albedo` is the share the ground throws back. */
export function onPlane(sky: SkyLight, normal: Normal, albedo: number, into: PlaneLight): void {
  const { sun, beamWm2, diffuseWm2 } = sky;
  const cosine = sun.east * normal.east + sun.north * normal.north + sun.up * normal.up;
  into.cosine = sun.up <= 0 ? 0 : Math.max(0, cosine);
  into.beamWm2 = beamWm2 * into.cosine;
  into.groundWm2 = (sky.globalWm2 * albedo * (1 - normal.up)) / 2;
  into.skyWm2 = diffuseWm2 <= 0 ? 0 : perezWm2(sky, normal, Math.max(0, cosine));
}

function perezWm2({ sun, beamWm2, diffuseWm2 }: SkyLight, normal: Normal, cosine: number): number {
  const z = Math.acos(Math.min(1, Math.max(0, sun.up)));
  const bent = 1.041 * z * z * z;
  const clearness = ((diffuseWm2 + beamWm2) / diffuseWm2 + bent) / (1 + bent);
  let row = 0;
  while (row < CLEARNESS.length && clearness >= CLEARNESS[row]!) row++;
  const f = BRIGHTNESS[row]!;
  const bright = (diffuseWm2 * airMass(sun.up)) / sun.extraterrestrialWm2;
  const round = Math.max(0, f[0] + f[1] * bright + f[2] * z);
  const low = f[3] + f[4] * bright + f[5] * z;
  const slope = Math.sqrt(Math.max(0, 1 - normal.up * normal.up));
  const share = ((1 - round) * (1 + normal.up)) / 2 + (round * cosine) / Math.max(sun.up, COS_85) + low * slope;
  return Math.max(0, diffuseWm2 * share);
}

const MARTIN_RUIZ = 0.16;
const AT_RIGHT_ANGLE = 1 - Math.exp(-1 / MARTIN_RUIZ);

/** Share of the beam that enters the glass at a cosine of incidence, 0..1. */
export const throughGlass = (cosine: number): number => (1 - Math.exp(-cosine / MARTIN_RUIZ)) / AT_RIGHT_ANGLE;
