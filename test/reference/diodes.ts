/**
 * Modules as single diodes: parameters of published sets, and their points after the translation of W. De Soto, S. Klein,
 * W. Beckman, Solar Energy 80 (2006) 78-88, computed with pvlib-python; the first set is the one its own tests print.
 * Volts, amps, watts, °C, W/m².
 */
import type { DiodeFacts } from '../../simulators/plant/electric/diode.ts';
import { table } from './table.ts';

/** One diode without any translation, as pvlib's own tests print it. Tolerance 1e-8. */
export const BARE_DIODE = {
  lightA: 7,
  saturationA: 6e-7,
  seriesOhm: 0.1,
  shuntOhm: 20,
  idealityV: 0.5,
  shortCircuitA: 6.965172322,
  openCircuitV: 8.106300147,
  maxPowerA: 6.13626736,
  maxPowerV: 6.224339375,
  maxPowerW: 38.19421055,
};

export const MODULES = {
  sixtyCells: {
    lightA: 9.45232449,
    saturationA: 3.22463495e-10,
    idealityV: 1.59128807,
    seriesOhm: 0.297814724,
    shuntOhm: 125.798773,
    shortCircuitAPerK: 0.005658,
  },
  thirtySixCells: {
    lightA: 5.95723728,
    saturationA: 2.01376105e-10,
    idealityV: 0.917311506,
    seriesOhm: 0.248698853,
    shuntOhm: 204.463264,
    shortCircuitAPerK: 0.002975,
  },
  seventyTwoCells: {
    lightA: 5.86287702,
    saturationA: 1.9715232e-10,
    idealityV: 1.89335537,
    seriesOhm: 0.552831304,
    shuntOhm: 251.149916,
    shortCircuitAPerK: 0.002925,
  },
  thirtyThreeCells: {
    lightA: 5.96965582,
    saturationA: 4.58050282e-11,
    idealityV: 0.880695539,
    seriesOhm: 0.280964538,
    shuntOhm: 85.0505931,
    shortCircuitAPerK: 0.002975,
  },
  ninetySixCells: {
    lightA: 5.114,
    saturationA: 8.196e-10,
    idealityV: 2.6373,
    seriesOhm: 1.065,
    shuntOhm: 381.68,
    shortCircuitAPerK: 0.004539,
  },
} satisfies Record<string, DiodeFacts>;

export interface OperatingPoint {
  module: keyof typeof MODULES;
  irradianceWm2: number;
  cellTempC: number;
  openCircuitV: number;
  shortCircuitA: number;
  maxPowerV: number;
  maxPowerA: number;
  maxPowerW: number;
}

/** Tolerance: 0.0001 of a volt, an amp and a watt. */
export const OPERATING_POINTS = table<OperatingPoint>(`
module           irradianceWm2 cellTempC openCircuitV shortCircuitA maxPowerV maxPowerA maxPowerW
sixtyCells       1000          25        38.3         9.43          31.0      8.71      270.01
sixtyCells       1000          45        35.534228    9.542893      28.18237  8.75309   246.68283
sixtyCells       1000          60        33.448436    9.627562      26.08944  8.77197   228.85563
sixtyCells       800           45        35.155873    7.637922      28.28268  7.01526   198.41044
sixtyCells       600           40        35.374805    5.7142        28.99901  5.26379   152.64457
sixtyCells       400           35        35.414509    3.799963      29.55173  3.50905   103.69859
sixtyCells       200           25        35.742453    1.88957       30.43508  1.75065   53.28121
sixtyCells       100           20        35.390854    0.94218       30.38862  0.8739    26.55665
sixtyCells       1000          -10       43.094298    9.232438      35.9875   8.59778   309.41276
sixtyCells       1000          0         41.730796    9.288884      34.55646  8.63381   298.35375
sixtyCells       200           -20       42.280548    1.838672      37.21895  1.71845   63.95899
sixtyCells       1100          10        40.506002    10.277436     33.03471  9.52697   314.72067
thirtySixCells   1000          25        22.1         5.95          18.0      5.56      100.08
thirtySixCells   1000          45        20.503943    6.009428      16.37555  5.57088   91.22625
thirtySixCells   1000          60        19.300083    6.053998      15.16805  5.5711    84.50266
thirtySixCells   800           45        20.285697    4.808711      16.41352  4.46318   73.25652
thirtySixCells   600           40        20.412185    3.598491      16.80646  3.35011   56.30351
thirtySixCells   400           35        20.435276    2.39363       17.10475  2.23411   38.21391
thirtySixCells   200           25        20.624775    1.191158      17.5937   1.11576   19.6303
thirtySixCells   100           20        20.422115    0.594164      17.5565   0.55717   9.78198
thirtySixCells   1000          -10       24.865896    5.846001      20.8727   5.51912   115.19903
thirtySixCells   1000          0         24.079377    5.875715      20.04877  5.53316   110.93303
thirtySixCells   200           -20       24.39655     1.164389      21.50699  1.10364   23.73606
thirtySixCells   1100          10        23.37278     6.495183      19.18175  6.09656   116.94271
seventyTwoCells  1000          25        45.6         5.85          37.0      5.41      200.17
seventyTwoCells  1000          45        42.306882    5.908371      33.64904  5.42584   182.57416
seventyTwoCells  1000          60        39.823127    5.95215       31.15907  5.4297    169.18425
seventyTwoCells  800           45        41.856681    4.728774      33.75101  4.34813   146.75377
seventyTwoCells  600           40        42.117763    3.539377      34.58567  3.26387   112.88312
seventyTwoCells  400           35        42.165557    2.354777      35.22571  2.17675   76.67749
seventyTwoCells  200           25        42.556796    1.172059      36.2596   1.08701   39.41466
seventyTwoCells  100           20        42.1389      0.584696      36.19593  0.54288   19.65006
seventyTwoCells  1000          -10       51.30739     5.74785       42.92876  5.3603    230.11081
seventyTwoCells  1000          0         49.684343    5.777036      41.22797  5.37687   221.67728
seventyTwoCells  200           -20       50.339628    1.145746      44.33307  1.07234   47.54024
seventyTwoCells  1100          10        48.226228    6.385441      39.42693  5.92694   233.68103
thirtyThreeCells 1000          25        22.5         5.95          18.3      5.46      99.918
thirtyThreeCells 1000          45        21.055423    6.009304      16.81319  5.48676   92.24985
thirtyThreeCells 1000          60        19.965568    6.053782      15.70699  5.50029   86.393
thirtyThreeCells 800           45        20.846118    4.810611      16.88741  4.39765   74.26491
thirtyThreeCells 600           40        20.94588     3.60143       17.28456  3.3       57.03911
thirtyThreeCells 400           35        20.946481    2.396595      17.59079  2.2004    38.70675
thirtyThreeCells 200           25        21.085139    1.193143      18.06104  1.09832   19.83676
thirtyThreeCells 100           20        20.869229    0.595281      18.02534  0.54854   9.88767
thirtyThreeCells 1000          -10       25.00236     5.846218      20.92676  5.39477   112.89497
thirtyThreeCells 1000          0         24.290926    5.87587       20.17362  5.41542   109.2487
thirtyThreeCells 200           -20       24.509214    1.166386      21.64381  1.07948   23.36407
thirtyThreeCells 1100          10        23.656194    6.493936      19.36049  5.97368   115.65342
ninetySixCells   1000          25        59.400651    5.09977       46.90263  4.68981   219.96426
ninetySixCells   800           45        53.933247    4.15455       42.30377  3.79358   160.48255
ninetySixCells   400           35        54.489981    2.061455      44.74955  1.89661   84.87254
ninetySixCells   200           25        55.161981    1.02223       46.44682  0.9445    43.86902
ninetySixCells   1000          -10       67.799203    4.941347      55.57712  4.59193   255.20634
ninetySixCells   1000          65        49.692675    5.280823      37.22468  4.75082   176.84773
`);

/**
 * Modules of 36 cells at 45 °C under unlike light, one bypass diode of 0.5 V each: sum of their own maxima, in series with
 * and without bypass diodes, in parallel. W; tolerance 0.01 (0.005 of rounding, and a grid in the voltage).
 */
export const UNLIKE_LIGHT: readonly [readonly number[], number, number, number, number][] = [
  [[1000, 1000], 182.453, 182.45, 182.45, 182.45],
  [[1000, 800], 164.483, 154.75, 154.75, 164.48],
  [[1000, 500], 136.908, 100.25, 100.25, 136.91],
  [[1000, 200], 108.976, 88.44, 40.6, 108.84],
  [[600, 300], 81.99, 59.44, 59.44, 81.95],
  [[1000, 1000, 500], 228.134, 179.67, 155.72, 228.13],
  [[1000, 1000, 1000], 273.679, 273.68, 273.68, 273.68],
];

/** One of 36 cells with one of 72 in full light at 25 °C, W. */
export const UNLIKE_MODULES = { sumW: 300.25, parallelW: 206.4, seriesW: 299.85 };
