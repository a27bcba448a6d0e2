/**
 * How much a panel's open-circuit voltage rises on the coldest morning, as a factor on the label's value at 25 °C.
 *
 * The panel's own coefficient goes first: Voc,max = Voc (1 + β (Tmin − 25)), US National Electrical Code 690.7(A), which
 * prefers it since 2008 (J. Wiles, IAEI Magazine, January 2009). Else the factor of Table 690.7(A) for crystalline
 * silicon. The cells are as cold as the air: the sun has just reached them.
 */

/** From this air temperature up, whole °C, the factor; rows of five kelvin. Table 690.7(A), the four warmest from memory. */
export const COLD_TABLE: readonly (readonly [fromC: number, factor: number])[] = [
  [20, 1.02],
  [15, 1.04],
  [10, 1.06],
  [5, 1.08],
  [0, 1.1],
  [-5, 1.12],
  [-10, 1.14],
  [-15, 1.16],
  [-20, 1.18],
  [-25, 1.2],
  [-30, 1.21],
  [-35, 1.23],
  [-40, 1.25],
];

/** Colder than the table: its steepest step again for each five kelvin begun (own judgement). */
const STEP_BELOW = 0.02;

/** The table's factor; between two whole degrees that of the colder row, from 25 °C up 1. */
export function tableFactor(coldestC: number): number {
  const wholeC = Math.floor(coldestC);
  if (wholeC >= 25) return 1;
  const row = COLD_TABLE.find(([fromC]) => wholeC >= fromC);
  return row === undefined ? 1.25 + STEP_BELOW * Math.ceil((-40 - wholeC) / 5) : row[1];
}

/** By the panel's coefficient, %/K (negative); never below 1, so that the label's own voltage is always reckoned with. */
export const coefficientFactor = (pctPerK: number, coldestC: number): number =>
  Math.max(1, 1 + (pctPerK / 100) * (coldestC - 25));

/** By the coefficient where it is known, else by the table. */
export const coldFactor = (pctPerK: number | null, coldestC: number): number =>
  pctPerK === null ? tableFactor(coldestC) : coefficientFactor(pctPerK, coldestC);
