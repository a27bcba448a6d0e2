/**
 * Where the earth stands on its way around the sun: the largest terms of VSOP87, P. Bretagnon and G. Francou, Astronomy
 * and Astrophysics 202 (1988) 309-315, as Meeus prints them (Astronomical Algorithms, appendix III, for his ch. 32 and
 * the accurate way of ch. 25; numbers of chapters from memory) and I. Reda and A. Andreas, NREL/TP-560-34302 (2008), table A4.2.
 *
 * Degrees, mean equinox of the date. Terms below 4e-6 rad are left out, together some 0.001° for 1990-2050.
 */

type Terms = Float64Array;
/** Amplitude in 1e-8 rad, phase in rad, frequency in rad a Julian millennium; flat, as a year of minutes asks often. */
const terms = (rows: readonly (readonly [amplitude: number, phase: number, frequency: number])[]): Terms =>
  new Float64Array(rows.flat());

const L0 = terms([
  [175_347_046, 0, 0],
  [3_341_656, 4.6692568, 6283.07585],
  [34_894, 4.6261, 12_566.1517],
  [3497, 2.7441, 5753.3849],
  [3418, 2.8289, 3.5231],
  [3136, 3.6277, 77_713.7715],
  [2676, 4.4181, 7860.4194],
  [2343, 6.1352, 3930.2097],
  [1324, 0.7425, 11_506.7698],
  [1273, 2.0371, 529.691],
  [1199, 1.1096, 1577.3435],
  [990, 5.233, 5884.927],
  [902, 2.045, 26.298],
  [857, 3.508, 398.149],
  [780, 1.179, 5223.694],
  [753, 2.533, 5507.553],
  [505, 4.583, 18_849.228],
  [492, 4.205, 775.523],
]);
const L1 = terms([
  [628_331_966_747, 0, 0],
  [206_059, 2.678235, 6283.07585],
  [4303, 2.6351, 12_566.1517],
]);
const L2 = terms([
  [52_919, 0, 0],
  [8720, 1.0721, 6283.0758],
]);

const TO_DEG = 1e-8 * (180 / Math.PI);

function sum(of: Terms, tau: number): number {
  let total = 0;
  for (let i = 0; i < of.length; i += 3) total += of[i]! * Math.cos(of[i + 1]! + of[i + 2]! * tau);
  return total;
}

/** Heliocentric ecliptic longitude, degrees, not folded into a turn. @param T Julian centuries of dynamical time from 2000 */
export function earthLongitudeDeg(T: number): number {
  const tau = T / 10;
  return (sum(L0, tau) + tau * (sum(L1, tau) + tau * sum(L2, tau))) * TO_DEG;
}
