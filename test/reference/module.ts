/**
 * Watts and cell temperatures to check against, computed with pvlib-python from the papers named at each law.
 */

/** W/m² on the cells, cell °C, rating W, power per K, DC power W (A. P. Dobos 2014). Tolerance 0.000001 of the value. */
export const PVWATTS: readonly [number, number, number, number, number][] = [
  [0, 10, 100, -0.0047, 0],
  [50, 10, 100, -0.0047, 5.3525],
  [200, 20, 400, -0.0035, 81.4],
  [450, 33.3, 110, -0.0029, 48.308535],
  [600, 38, 400, -0.0035, 229.08],
  [800, 45, 100, -0.0047, 72.48],
  [900, 30, 100, -0.003, 88.65],
  [1000, -10, 160, -0.003, 176.8],
  [1000, 25, 100, -0.0047, 100],
  [1000, 25, 220, -0.003, 220],
  [1000, 55, 200, -0.0035, 179],
  [1100, 60, 160, -0.0037, 153.208],
];

/** Percent: the manual's own list together, and a portable set without shade and outages. */
export const LOSSES_PCT = { fixed: 14.0756606883, portable: 7.74671242 };

/** W/m² on the plane, air °C, wind m/s; cells by Ross at NOCT 45 and 47, by Faiman (25, 6.84). Tolerance 0.001 °C. The third
 * row by Faiman, 35.203, is printed in pvlib's own tests. */
export const CELL_TEMPERATURES: readonly [number, number, number, number, number, number][] = [
  [1000, 25, 1, 56.25, 58.75, 56.407035],
  [800, 20, 1, 45, 47, 45.125628],
  [900, 20, 5, 48.125, 50.375, 35.202703],
  [600, 10, 3, 28.75, 30.25, 23.181019],
  [1000, 35, 0.5, 66.25, 68.75, 70.186488],
  [200, 0, 2, 6.25, 6.75, 5.170631],
  [1100, -10, 6, 24.375, 27.125, 6.656572],
  [0, 15, 3, 15, 15, 15],
  [500, 10, 5, 25.625, 26.875, 18.445946],
];
