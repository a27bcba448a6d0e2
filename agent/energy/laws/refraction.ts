/**
 * How much the air lifts the sun. Degrees; pressure in Pa, air temperature in °C.
 *
 * Saemundsson's formula (Meeus, Astronomical Algorithms, 16.4) scaled by pressure and temperature as in I. Reda and
 * A. Andreas, Solar Position Algorithm, NREL/TP-560-34302 (2008), eq. 42 (number from memory).
 */

const RAD = Math.PI / 180;

/** Below this true elevation the whole disc is down and no refraction is added: 0.26667° + 0.5667°. */
const LOWEST_DEG = -0.8334;

/**
 * Refraction to add to a true elevation, degrees; 0 where the whole sun is below the horizon.
 *
 * @param pressurePa of the air at the observer
 */
export function refractionDeg(elevationDeg: number, pressurePa = 101_000, airTempC = 10): number {
  if (elevationDeg < LOWEST_DEG) return 0;
  const air = (pressurePa / 101_000) * (283 / (273 + airTempC));
  return (air * 1.02) / (60 * Math.tan((elevationDeg + 10.3 / (elevationDeg + 5.11)) * RAD));
}
