/**
 * How warm the cells get, °C, from the air, the light on the panel and the wind.
 *
 * Faiman: D. Faiman, Progress in Photovoltaics 16 (2008) 307-315, eq. 4 (number from memory). Ross: R. G. Ross, 15th
 * IEEE Photovoltaic Specialists Conference (1981) 1157. A fabric panel on the ground runs warmer than either.
 */

/** W/m²K: heat lost in still air, and more for each m/s of wind. */
const U0 = 25;
const U1 = 6.84;

/** Cells warm up by this at 800 W/m², 20 °C and a breeze; 45 to 48 °C on datasheets. */
export const NOCT_C = 47;

/** Where the wind is known. @param windMs at the panel, m/s */
export const faimanTempC = (planeWm2: number, airTempC: number, windMs: number): number =>
  airTempC + planeWm2 / (U0 + U1 * windMs);

/** Where it is not. */
export const rossTempC = (planeWm2: number, airTempC: number, noctC = NOCT_C): number =>
  airTempC + ((noctC - 20) / 800) * planeWm2;
