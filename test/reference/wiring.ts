/**
 * Cold volts, string fuses and unlike panels to check against.
 */

/**
 * Lowest and highest air of the row, °C, and factor: US National Electrical Code, Table 690.7(A), crystalline silicon.
 * The four warmest rows from memory (J. Wiles, IAEI Magazine, January 2009, confirms that it starts at 1.02), the others
 * as an open copy of the code's tables has them (mechkit/solar_design_algorithm).
 */
export const COLD_TABLE_ROWS: readonly [number, number, number][] = [
  [20, 24, 1.02],
  [15, 19, 1.04],
  [10, 14, 1.06],
  [5, 9, 1.08],
  [0, 4, 1.1],
  [-5, -1, 1.12],
  [-10, -6, 1.14],
  [-15, -11, 1.16],
  [-20, -16, 1.18],
  [-25, -21, 1.2],
  [-30, -26, 1.21],
  [-35, -31, 1.23],
  [-40, -36, 1.25],
];

/**
 * Voc V, coefficient %/K, panels in series, coldest °C; factor and volts of the string by the coefficient, factor and
 * volts by the table. Exact: Voc,max = Ns Voc (1 + β (Tmin − 25)). The fourth and fifth row are worked examples of public
 * calculation pages.
 */
export const COLD_STRINGS: readonly [number, number, number, number, number, number, number, number][] = [
  [21.6, -0.33, 1, -10, 1.1155, 24.0948, 1.14, 24.624],
  [21.6, -0.33, 2, -10, 1.1155, 48.1896, 1.14, 49.248],
  [21.6, -0.33, 3, -20, 1.1485, 74.4228, 1.18, 76.464],
  [45, -0.28, 1, 3, 1.0616, 47.772, 1.1, 49.5],
  [49.5, -0.27, 12, -10, 1.0945, 650.133, 1.14, 677.16],
  [42, -0.28, 14, -20, 1.126, 662.088, 1.18, 693.84],
  [22.7, -0.37, 2, -30, 1.2035, 54.6389, 1.21, 54.934],
  [21.6, -0.33, 2, 10, 1.0495, 45.3384, 1.06, 45.792],
];

/** One row of the fuse rules. */
export interface FuseRow {
  iscA: number;
  strings: number;
  ratingA: number;
  /** 1.25 and 1.5625 Isc, and 1.25 Isc of all strings. */
  oneA: number;
  continuousA: number;
  allA: number;
  backFeedA: number;
  nec: boolean;
  iec62548: boolean;
  iec60364: boolean;
  /** By IEC 62548. */
  window: readonly [number, number];
}

const row = (
  [iscA, strings, ratingA]: readonly [number, number, number],
  [oneA, continuousA, allA, backFeedA]: readonly [number, number, number, number],
  [nec, iec62548, iec60364]: readonly [boolean, boolean, boolean],
  window: readonly [number, number],
): FuseRow => ({ iscA, strings, ratingA, oneA, continuousA, allA, backFeedA, nec, iec62548, iec60364, window });

const none = [false, false, false] as const;
const every = [true, true, true] as const;

/** NEC 690.8(A), 690.9; IEC 62548 and IEC 60364-7-712:2017 (both from memory). To four decimals. */
export const FUSES: readonly FuseRow[] = [
  row([5.95, 1, 15], [7.4375, 9.2969, 7.4375, 0], none, [8.925, 14.28]),
  row([5.95, 2, 15], [7.4375, 9.2969, 14.875, 7.4375], none, [8.925, 14.28]),
  row([5.95, 3, 15], [7.4375, 9.2969, 22.3125, 14.875], none, [8.925, 14.28]),
  row([5.95, 4, 15], [7.4375, 9.2969, 29.75, 22.3125], every, [8.925, 14.28]),
  row([9.5, 2, 20], [11.875, 14.8438, 23.75, 11.875], none, [14.25, 20]),
  row([9.5, 3, 20], [11.875, 14.8438, 35.625, 23.75], [true, false, false], [14.25, 20]),
  row([13.9, 2, 25], [17.375, 21.7188, 34.75, 17.375], none, [20.85, 25]),
  row([13.9, 3, 25], [17.375, 21.7188, 52.125, 34.75], every, [20.85, 25]),
  row([5.46, 2, 15], [6.825, 8.5312, 13.65, 6.825], none, [8.19, 13.104]),
  row([11.2, 2, 20], [14, 17.5, 28, 14], none, [16.8, 20]),
];

/**
 * Panels of 100 W at 18.0 V, 5.56 A and of 200 W at 37.0 V, 5.41 A, single-diode model (W. De Soto, S. Klein,
 * W. Beckman, Solar Energy 80 (2006) 78-88) at 1000 W/m² and 25 °C: what one of each gives alone, in parallel, in series.
 */
export const UNLIKE_PANELS = {
  panels: [
    { volts: 18, amps: 5.56 },
    { volts: 37, amps: 5.41 },
  ],
  apartW: 300.25,
  inParallelW: 206.4,
  inSeriesW: 299.85,
} as const;
