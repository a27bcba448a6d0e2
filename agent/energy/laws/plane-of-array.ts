/**
 * From the level plane to a tilted one, W/m²: beam, light from the sky, light from the ground.
 *
 * Hay-Davies: J. E. Hay and J. A. Davies, Proc. First Canadian Solar Radiation Data Workshop (1980) 59; isotropic: H. C.
 * Hottel and B. B. Woertz (1942), B. Y. H. Liu and R. C. Jordan, Solar Energy 7 (1963) 53. The zenith angle is the
 * apparent one throughout.
 */
import type { Irradiance } from './ineichen.ts';

const RAD = Math.PI / 180;
/** cos 89°: keeps the bright ring around a grazing sun finite. */
export const COS_Z_AT_LEAST = 0.01745;
/** Share of light that grass and bare soil send back; common practice. */
export const ALBEDO = 0.2;

export interface PlaneIrradiance {
  /** Straight from the sun. */
  beamWm2: number;
  /** From the bright ring around the sun: comes from where the beam comes from. */
  circumsolarWm2: number;
  /** From the rest of the sky. */
  skyWm2: number;
  groundWm2: number;
}

/** Everything that falls on the plane. */
export const totalWm2 = ({ beamWm2, circumsolarWm2, skyWm2, groundWm2 }: PlaneIrradiance): number =>
  beamWm2 + circumsolarWm2 + skyWm2 + groundWm2;

/** Share of the sky and of the ground that a plane sees. */
const seesSky = (tiltDeg: number) => (1 + Math.cos(tiltDeg * RAD)) / 2;
const seesGround = (tiltDeg: number) => (1 - Math.cos(tiltDeg * RAD)) / 2;

/**
 * Hay-Davies: the share A = DNI / DNI outside the air of the diffuse light comes from around the sun.
 *
 * @param cosZ cosine of the apparent zenith angle
 * @param cosAoi cosine of the angle of incidence
 */
export function hayDavies(
  { ghiWm2, dniWm2, dhiWm2 }: Irradiance,
  extraWm2: number,
  cosZ: number,
  cosAoi: number,
  tiltDeg: number,
  albedo = ALBEDO,
): PlaneIrradiance {
  const facing = Math.max(cosAoi, 0);
  const A = dniWm2 / extraWm2;
  const Rb = facing / Math.max(cosZ, COS_Z_AT_LEAST);
  return {
    beamWm2: dniWm2 * facing,
    circumsolarWm2: dhiWm2 * A * Rb,
    skyWm2: dhiWm2 * (1 - A) * seesSky(tiltDeg),
    groundWm2: ghiWm2 * albedo * seesGround(tiltDeg),
  };
}

/** Isotropic: every part of the sky equally bright. The lower bound beside the other. */
export function isotropic(
  { ghiWm2, dniWm2, dhiWm2 }: Irradiance,
  cosAoi: number,
  tiltDeg: number,
  albedo = ALBEDO,
): PlaneIrradiance {
  return {
    beamWm2: dniWm2 * Math.max(cosAoi, 0),
    circumsolarWm2: 0,
    skyWm2: dhiWm2 * seesSky(tiltDeg),
    groundWm2: ghiWm2 * albedo * seesGround(tiltDeg),
  };
}
