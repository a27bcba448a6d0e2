/**
 * Worked examples of uncertainty: JCGM 100:2008 (GUM), from memory, each followed by hand once more. H.1: calibration of
 * an end gauge, nm. G.4.1: three factors, relative. H.3: calibration of a thermometer, eleven readings, °C. Table G.2:
 * Student's t. Rectangular and triangular ranges of 95 % from their areas.
 */

/** H.1: standard uncertainties and degrees of freedom; together 32 nm, 16 degrees (cut to whole), U99 93 nm. */
export const END_GAUGE = {
  terms: [
    [25, 18],
    [9.7, 25.6],
    [2.9, 50],
    [16.6, 2],
  ],
  combined: 32,
  freedom: 16,
  factor99: 2.92,
  expanded99: 93,
} as const;

/** G.4.1: 0.25, 0.57 and 0.82 % from 10, 5 and 15 readings: 1.03 %, 19.0 degrees, t95 2.09, U95 2.2 %. */
export const THREE_FACTORS = {
  terms: [
    [0.25, 9],
    [0.57, 4],
    [0.82, 14],
  ],
  combined: 1.03,
  freedom: 19,
  factor95: 2.09,
  expanded95: 2.2,
} as const;

/** H.3: reading, correction; b = y1 + y2 (t − 20). */
export const THERMOMETER = {
  points: [
    [21.521, -0.171],
    [22.012, -0.169],
    [22.512, -0.166],
    [23.003, -0.159],
    [23.507, -0.164],
    [23.999, -0.165],
    [24.513, -0.156],
    [25.002, -0.157],
    [25.503, -0.159],
    [26.01, -0.161],
    [26.511, -0.16],
  ],
  aboutC: 20,
  intercept: -0.1712,
  interceptDeviation: 0.0029,
  slope: 0.00218,
  slopeDeviation: 0.00067,
  scatter: 0.0035,
  /** Correction at 30 °C and its standard uncertainty. */
  at30: -0.1494,
  at30Deviation: 0.0041,
} as const;

/** Degrees of freedom, t for 95 %, t for 99 %. */
export const STUDENT: readonly (readonly [number, number, number])[] = [
  [1, 12.71, 63.66],
  [2, 4.3, 9.92],
  [3, 3.18, 5.84],
  [4, 2.78, 4.6],
  [5, 2.57, 4.03],
  [8, 2.31, 3.36],
  [10, 2.23, 3.17],
  [16, 2.12, 2.92],
  [20, 2.09, 2.85],
  [50, 2.01, 2.68],
  [Number.POSITIVE_INFINITY, 1.96, 2.576],
];
