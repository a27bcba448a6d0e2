/**
 * What the sun sends to the top of the air, W/m² on a plane that faces it.
 *
 * J. W. Spencer, Fourier series representation of the position of the sun, Search 2 (1971) 172; solar constant 1366.1
 * W/m² (ASTM E490-00). The day of the year is counted in universal time.
 */

const SOLAR_CONSTANT_WM2 = 1366.1;
const DAY_MS = 86_400_000;

/** Day of the year of an instant (UTC epoch ms), 1 January = 1. */
export function dayOfYear(atMs: number): number {
  const newYearMs = Date.UTC(new Date(atMs).getUTCFullYear(), 0, 1);
  return Math.floor((atMs - newYearMs) / DAY_MS) + 1;
}

/** Normal irradiance outside the air, W/m². */
export function extraterrestrialWm2(day: number, solarConstantWm2 = SOLAR_CONSTANT_WM2): number {
  const x = (2 * Math.PI * (day - 1)) / 365;
  return (
    solarConstantWm2 *
    (1.00011 + 0.034221 * Math.cos(x) + 0.00128 * Math.sin(x) + 0.000719 * Math.cos(2 * x) + 0.000077 * Math.sin(2 * x))
  );
}
