/**
 * The simplest clear sky: total on the level plane from the zenith angle alone, W/m². No beam, so it feeds no tilted
 * plane by itself; a cross-check on the other.
 *
 * B. Haurwitz, Insolation in relation to cloudiness and cloud density, J. Meteorology 2 (1945) 154-166, 3 (1946) 123.
 */

const RAD = Math.PI / 180;

/** @param zenithDeg apparent zenith angle, refraction included */
export function haurwitzGhiWm2(zenithDeg: number): number {
  if (zenithDeg >= 90) return 0;
  const cosZ = Math.cos(zenithDeg * RAD);
  return 1098 * cosZ * Math.exp(-0.059 / cosZ);
}
