/**
 * How much air the beam crosses, in units of the way straight down to sea level.
 *
 * F. Kasten and A. T. Young, Applied Optics 28 (1989) 4735-4738, eq. 3 (number from memory).
 */
import { SEA_LEVEL_PA } from './pressure.ts';

const RAD = Math.PI / 180;

/**
 * Relative air mass; Infinity where the sun is below the horizon.
 *
 * @param zenithDeg apparent zenith angle, refraction included
 */
export const airMass = (zenithDeg: number): number =>
  zenithDeg > 90
    ? Number.POSITIVE_INFINITY
    : 1 / (Math.cos(zenithDeg * RAD) + 0.50572 * (96.07995 - zenithDeg) ** -1.6364);

/** Air mass with the thinner air of an altitude taken into account. */
export const absoluteAirMass = (relative: number, pressurePa: number): number => (relative * pressurePa) / SEA_LEVEL_PA;
