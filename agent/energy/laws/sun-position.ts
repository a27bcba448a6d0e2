/**
 * Where the sun stands. Jean Meeus, Astronomical Algorithms, 2nd ed. (1998), ch. 25 (its accurate way, with the largest
 * terms only), 22, 12, 13 and 40.
 *
 * Angles in degrees, azimuth clockwise from true north, elevation above the horizon without refraction unless said, seen
 * from the ground (not from the earth's centre). Left out: nutation beyond its main terms, the earth's own latitude, the
 * changing rate of clocks against the sun, and every smaller pull of planets; together under 0.002° for 1990-2050.
 */
import { earthLongitudeDeg } from './earth-longitude.ts';
import { refractionDeg } from './refraction.ts';

const RAD = Math.PI / 180;
const sin = (deg: number) => Math.sin(deg * RAD);
const cos = (deg: number) => Math.cos(deg * RAD);
const turn = (deg: number) => ((deg % 360) + 360) % 360;

/** 2000-01-01 12:00 UTC as epoch ms (JD 2451545.0). */
const J2000_MS = 946_728_000_000;
const DAY_MS = 86_400_000;
/** Terrestrial minus universal time about 2025, s; a whole minute of it moves the sun by 0.0007°. */
const DELTA_T_MS = 69_200;

/** The sun's horizontal parallax, degrees: 8.794″. */
export const PARALLAX_DEG = 0.002443;

export interface SunPosition {
  /** True zenith angle, without refraction. */
  zenithDeg: number;
  elevationDeg: number;
  /** Elevation as seen, with refraction at 10 °C. */
  apparentElevationDeg: number;
  azimuthDeg: number;
}

/** Right ascension and declination, degrees. Meeus 25.2-25.8. */
function equatorial(atMs: number): { raDeg: number; decDeg: number; nutationDeg: number; obliquityDeg: number } {
  const T = (atMs + DELTA_T_MS - J2000_MS) / DAY_MS / 36_525; // 25.1
  const L = earthLongitudeDeg(T) + 180; // 25, accurate way
  const omega = 125.04 - 1934.136 * T;
  const nutation = -0.00478 * sin(omega) - 0.00037 * sin(2 * L); // 22, the two largest terms
  const lambda = L - 0.00569 + nutation; // apparent longitude, 25.10 (number from memory)
  const epsilon = 23.4392911 - T * (0.0130042 + T * (1.64e-7 - T * 5.04e-7)) + 0.00256 * cos(omega); // 22.2, 25.8
  return {
    raDeg: Math.atan2(cos(epsilon) * sin(lambda), cos(lambda)) / RAD, // 25.6
    decDeg: Math.asin(sin(epsilon) * sin(lambda)) / RAD, // 25.7
    nutationDeg: nutation,
    obliquityDeg: epsilon,
  };
}

/** Apparent sidereal time at Greenwich, degrees. Meeus 12.4 with the equation of the equinoxes. */
function siderealDeg(atMs: number, nutationDeg: number, obliquityDeg: number): number {
  const d = (atMs - J2000_MS) / DAY_MS;
  const T = d / 36_525;
  return 280.46061837 + 360.98564736629 * d + T * T * (0.000387933 - T / 38_710_000) + nutationDeg * cos(obliquityDeg);
}

/**
 * @param atMs UTC epoch ms
 * @param latitudeDeg north positive
 * @param longitudeDeg east positive
 * @param pressurePa of the air, for refraction only
 */
export function sunPosition(
  atMs: number,
  latitudeDeg: number,
  longitudeDeg: number,
  pressurePa = 101_000,
): SunPosition {
  const { raDeg, decDeg, nutationDeg, obliquityDeg } = equatorial(atMs);
  const H = siderealDeg(atMs, nutationDeg, obliquityDeg) + longitudeDeg - raDeg; // hour angle
  const h = Math.asin(
    Math.max(-1, Math.min(1, sin(latitudeDeg) * sin(decDeg) + cos(latitudeDeg) * cos(decDeg) * cos(H))),
  ); // 13.6
  const A = Math.atan2(sin(H), cos(H) * sin(latitudeDeg) - (sin(decDeg) / cos(decDeg)) * cos(latitudeDeg)); // 13.5, from south
  const elevationDeg = h / RAD - PARALLAX_DEG * Math.cos(h); // 40.1, good to 0.00005°
  return {
    zenithDeg: 90 - elevationDeg,
    elevationDeg,
    apparentElevationDeg: elevationDeg + refractionDeg(elevationDeg, pressurePa),
    azimuthDeg: turn(A / RAD + 180),
  };
}
