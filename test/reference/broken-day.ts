/**
 * One broken-cloud day as it was measured: global irradiance by the minute near Boulder, Colorado (39.9107, −105.2348,
 * 1855 m), 14 October 2018, from NREL's Measurement and Instrumentation Data Center. Divided by a clear sky after
 * Ineichen and Perez with turbidity 2.5, sun above 15°: 501 minutes, mean 0.603. The minutes themselves: `broken-day-minutes.ts`.
 */

/** Share of the minutes, clear-sky index below which they lie. */
export const CLEAR_SKY_INDEX: readonly [number, number][] = [
  [0.02, 0.326],
  [0.05, 0.381],
  [0.1, 0.415],
  [0.25, 0.48],
  [0.5, 0.566],
  [0.75, 0.648],
  [0.9, 0.881],
  [0.95, 1.064],
  [0.98, 1.154],
];

/** Share of the minutes brighter than 1.05 times the clear sky. */
export const BRIGHT_SHARE = 0.056;

/** Share of the minutes, change of the clear-sky index from one to the next below which they lie. */
export const RAMPS: readonly [number, number][] = [
  [0.25, 0.0058],
  [0.5, 0.012],
  [0.75, 0.0254],
  [0.9, 0.0726],
  [0.95, 0.1852],
  [0.99, 0.3495],
];

/** Minutes apart, correlation of the clear-sky index. */
export const CORRELATIONS: readonly [number, number][] = [
  [1, 0.924],
  [2, 0.825],
  [5, 0.716],
  [10, 0.614],
  [20, 0.483],
  [30, 0.402],
  [60, 0.158],
];
