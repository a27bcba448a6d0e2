/**
 * Parts a measured level-plane total into beam and diffuse by how clear the sky was.
 *
 * D. G. Erbs, S. A. Klein and J. A. Duffie, Estimation of the diffuse radiation fraction for hourly, daily and
 * monthly-average global radiation, Solar Energy 28 (1982) 293-302, eq. 1 (number from memory). Irradiances in W/m².
 */
import type { Irradiance } from './ineichen.ts';

const RAD = Math.PI / 180;
/** Below this cosine (86.3°) clearness means nothing, and beyond 87° the beam is taken as none. */
const COS_Z_AT_LEAST = 0.065;
const BEAM_ZENITH_AT_MOST_DEG = 87;

/** Share of the total that is diffuse, from the clearness index kt in 0 to 1. */
export function diffuseShare(kt: number): number {
  if (kt <= 0.22) return 1 - 0.09 * kt;
  if (kt <= 0.8) return 0.9511 - 0.1604 * kt + 4.388 * kt ** 2 - 16.638 * kt ** 3 + 12.336 * kt ** 4;
  return 0.165;
}

/**
 * @param ghiWm2 measured, not negative
 * @param zenithDeg true zenith angle
 * @param extraWm2 normal irradiance outside the air
 */
export function erbs(ghiWm2: number, zenithDeg: number, extraWm2: number): Irradiance & { clearness: number } {
  const cosZ = Math.cos(zenithDeg * RAD);
  const clearness = Math.min(1, Math.max(0, ghiWm2 / (extraWm2 * Math.max(cosZ, COS_Z_AT_LEAST))));
  const dhiWm2 = ghiWm2 * diffuseShare(clearness);
  if (zenithDeg > BEAM_ZENITH_AT_MOST_DEG) return { ghiWm2, dniWm2: 0, dhiWm2: ghiWm2, clearness };
  return { ghiWm2, dniWm2: (ghiWm2 - dhiWm2) / cosZ, dhiWm2, clearness };
}
