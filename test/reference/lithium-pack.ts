/**
 * Lithium iron phosphate as measured: a 2 Ah cell discharged at C/20 (About-Energy BPX parameterisation, CC BY-SA 4.0),
 * a 12.8 V bank charged at 79 A (W. K. Collis, CC BY 4.0), and battery-side inverters over 1 kW of the list of the
 * California Energy Commission as shipped with pvlib-python (30 models, medians).
 */

/** State of charge %, energy left % at C/20. */
export const ENERGY_LEFT: readonly [number, number][] = [
  [100, 100],
  [95, 94.9],
  [90, 89.8],
  [80, 79.6],
  [70, 69.4],
  [60, 59.3],
  [50, 49.3],
  [40, 39.2],
  [30, 29.2],
  [20, 19.2],
  [15, 14.3],
  [10, 9.4],
  [5, 4.5],
  [2, 1.7],
  [0, 0],
];

/** Last percent of the charge, how many times longer it takes than at the constant current. */
export const LAST_OF_CHARGE: readonly [number, number][] = [
  [10, 2.1],
  [5, 2.9],
  [2, 3.9],
  [1, 5.2],
];

/** Load as a share of the rating, efficiency. */
export const INVERTER_EFFICIENCIES: readonly [number, number][] = [
  [0.05, 0.776],
  [0.1, 0.863],
  [0.2, 0.909],
  [0.3, 0.921],
  [0.5, 0.921],
  [0.75, 0.915],
  [1, 0.902],
];
