/**
 * Worksheets for stand-alone systems to check against. `page`: read on public pages; `memory`: a standard or book from
 * memory; `byHand`: worked here. Energies Wh, powers W, temperatures °C.
 */

/** Public worksheet page (simplified after IEEE): 1000 Wh a day, 2.5 days, half may be used, 4.4 °C, 12 V. */
export const LEAD_ACID_SHEET = {
  loadWhPerDay: 1000,
  autonomyDays: 2.5,
  usableShare: 0.5,
  tempC: 4.4,
  stepsWh: [2500, 5000, 6500],
  ampHoursAt12V: 541.667,
} as const;

/** Four independent public worksheets: °C, factor. */
export const LEAD_ACID_FACTORS: readonly (readonly [number, number])[] = [
  [26.7, 1],
  [21.2, 1.04],
  [15.6, 1.11],
  [10, 1.19],
  [4.4, 1.3],
  [-1.1, 1.4],
  [-6.7, 1.59],
];

/** A wiki page: 1000 Wh a day for two days, lead-acid to half and lithium to a fifth. */
export const TWO_CHEMISTRIES = {
  loadWhPerDay: 1000,
  autonomyDays: 2,
  leadAcid: [0.5, 4000],
  lithium: [0.8, 2500],
} as const;

/** A vendor's page: three days, half may be used, which is six days' worth, and a fifth more. */
export const VENDOR_SHEET = { loadWhPerDay: 100, autonomyDays: 3, usableShare: 0.5, more: 1.2, energyWh: 720 } as const;

/** byHand: 600 Wh of AC a day from a portable station, and the panels that balance it. */
export const PORTABLE = {
  loadWhPerDay: 600,
  inverterShare: 0.88,
  usableShare: 0.9,
  autonomyDays: 1.5,
  nameplateWh: 1136.364,
  sunHours: 3,
  chargeShare: 0.92,
  panelShare: 0.72,
  balanceW: 343.105,
  arrayToLoad: 1.2,
  withRatioW: 411.726,
} as const;

/** IEEE 1562, memory: 50 Ah a day, array to load 1.2, losses 15 %, 5.56 A, four hours of full sun. */
export const STRINGS = {
  loadAh: 50,
  arrayToLoad: 1.2,
  lossShare: 0.15,
  maxPowerA: 5.56,
  sunHours: 4,
  strings: 3.173931,
} as const;

/**
 * Watt-hours at the outlets for each of the label's, full to empty, 1 kWh of which 97 % can be used, P_dc = 12 W + 1.08 P:
 * byHand from the medians of the California list. Load W, share.
 */
export const DELIVERED: readonly (readonly [number, number])[] = [
  [10, 0.43],
  [50, 0.74],
  [100, 0.81],
  [300, 0.87],
  [600, 0.88],
];

/** California Energy Commission list, 30 converters up to 60 V DC above 1 kW, medians: share of rating, efficiency. */
export const BATTERY_CONVERTERS: readonly (readonly [number, number])[] = [
  [0.02, 0.589],
  [0.05, 0.776],
  [0.1, 0.863],
  [0.2, 0.909],
  [0.3, 0.921],
  [0.5, 0.921],
  [0.75, 0.915],
  [1, 0.902],
];
