/**
 * The share of slanting light that gets through a panel's cover, against light that comes straight; 1 to 0.
 *
 * Physical: W. De Soto, S. Klein, W. Beckman, Solar Energy 80 (2006) 78-88, eq. 13-15 (numbers from memory): Snell,
 * Fresnel, Bouguer.
 * ASHRAE: A. F. Souka and H. H. Safwat, Solar Energy 10 (1966) 170-174, as in ASHRAE standard 93-77.
 */

const RAD = Math.PI / 180;

/** Glass of 2 mm: refractive index, extinction per m, thickness in m. */
const INDEX = 1.526;
const EXTINCTION_PER_M = 4;
const THICKNESS_M = 0.002;

/** Transmittance at an angle of incidence in radians, not 0. */
function transmittance(theta: number): number {
  const refracted = Math.asin(Math.sin(theta) / INDEX);
  const sum = refracted + theta;
  const difference = refracted - theta;
  const parallel = (Math.tan(difference) / Math.tan(sum)) ** 2;
  const perpendicular = (Math.sin(difference) / Math.sin(sum)) ** 2;
  const absorbed = Math.exp((-EXTINCTION_PER_M * THICKNESS_M) / Math.cos(refracted));
  return absorbed * (1 - (parallel + perpendicular) / 2);
}

const STRAIGHT = Math.exp(-EXTINCTION_PER_M * THICKNESS_M) * (1 - ((INDEX - 1) / (INDEX + 1)) ** 2);

/** Air over glass. @param aoiDeg angle of incidence; 0 from 90° on, where the light comes from behind */
export function physicalModifier(aoiDeg: number): number {
  if (aoiDeg >= 90) return 0;
  return aoiDeg < 1e-3 ? 1 : transmittance(aoiDeg * RAD) / STRAIGHT;
}

/** 1 − b (1/cos θ − 1), cut off at 0. The older one-number law, kept beside the other as a check. */
export function ashraeModifier(aoiDeg: number, b = 0.05): number {
  return aoiDeg >= 90 ? 0 : Math.max(0, 1 - b * (1 / Math.cos(aoiDeg * RAD) - 1));
}
