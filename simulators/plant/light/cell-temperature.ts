/**
 * Temperature of the cells: T = T_air + G·exp(a + b·wind) + ΔT·G/1000, the Sandia form (D. King, W. Boyson,
 * J. Kratochvil, SAND2004-3535, eqs. 11-12), reached with a lag of minutes. Another law than the agent's. °C, W/m², m/s.
 */

export interface Mounting {
  readonly a: number;
  readonly b: number;
  /** Cell above the module's back at 1000 W/m², K. */
  readonly cellK: number;
}

/** King's open rack, glass on glass. */
export const OPEN_RACK: Mounting = { a: -3.47, b: -0.0594, cellK: 3 };
/** A fabric-backed folding panel on its stand: between his open rack and his insulated back; own judgement. */
export const FOLDING: Mounting = { a: -3.3, b: -0.065, cellK: 2 };

/** Cell temperature once it has settled. */
export const settledCellC = (m: Mounting, planeWm2: number, airTempC: number, windMs: number): number =>
  airTempC + planeWm2 * (Math.exp(m.a + m.b * windMs) + m.cellK / 1000);

/** Seconds to come 63 % of the way: a thin panel of some 7 kg/m² (common practice, no source). */
const LAG_S = 240;

/** The temperature `dtS` later on its way to `towardC`. */
export const laggedC = (nowC: number, towardC: number, dtS: number): number =>
  towardC + (nowC - towardC) * Math.exp(-dtS / LAG_S);
