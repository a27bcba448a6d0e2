/**
 * One row of equal cells as a single diode: a current source, a diode, a resistor beside them and one in series.
 * I = I_L − I_0 (exp((V + I·R_s)/a) − 1) − (V + I·R_s)/R_sh, with the five parameters moved to the row's light and
 * temperature after W. De Soto, S. Klein, W. Beckman, Solar Energy 80 (2006) 78-88. Volts, amps, ohms, °C, W/m².
 */

/** The five parameters at 1000 W/m² and 25 °C. */
export interface DiodeFacts {
  /** Light current, A. */
  readonly lightA: number;
  /** Saturation current, A. */
  readonly saturationA: number;
  /** Ideality × cells × thermal voltage, V. */
  readonly idealityV: number;
  readonly seriesOhm: number;
  readonly shuntOhm: number;
  /** Change of the short-circuit current a kelvin warmer, A. */
  readonly shortCircuitAPerK: number;
}

/** The parameters at one light and temperature, and what was solved last; kept and refilled, since this is the hot path. */
export interface Diode {
  lightA: number;
  saturationA: number;
  idealityV: number;
  seriesOhm: number;
  shuntOhm: number;
  /** dV/dI at the last point that `voltageAt` gave, Ω; negative. */
  slopeOhm: number;
}

export const darkDiode = (): Diode => ({
  lightA: 0,
  saturationA: 1e-10,
  idealityV: 1,
  seriesOhm: 0,
  shuntOhm: 1e6,
  slopeOhm: 0,
});

const BOLTZMANN_EV_PER_K = 8.617333262e-5;
const REFERENCE_K = 298.15;
const GAP_EV = 1.121;
const GAP_PER_K = -0.0002677;

/** Moves the reference parameters to `irradianceWm2` (> 0) and `cellTempC`: De Soto's translation. */
export function translate(facts: DiodeFacts, irradianceWm2: number, cellTempC: number, into: Diode): void {
  const kelvin = cellTempC + 273.15;
  const warmer = kelvin - REFERENCE_K;
  const ratio = kelvin / REFERENCE_K;
  const share = irradianceWm2 / 1000;
  const gap = GAP_EV * (1 + GAP_PER_K * warmer);
  const exponent = GAP_EV / (BOLTZMANN_EV_PER_K * REFERENCE_K) - gap / (BOLTZMANN_EV_PER_K * kelvin);
  into.idealityV = facts.idealityV * ratio;
  into.lightA = share * (facts.lightA + facts.shortCircuitAPerK * warmer);
  into.saturationA = facts.saturationA * ratio * ratio * ratio * Math.exp(exponent);
  into.seriesOhm = facts.seriesOhm;
  into.shuntOhm = facts.shuntOhm / share;
}

/** A part of the row: `share` of its cells. */
export const partOf = (facts: DiodeFacts, share: number): DiodeFacts => ({
  ...facts,
  idealityV: facts.idealityV * share,
  seriesOhm: facts.seriesOhm * share,
  shuntOhm: facts.shuntOhm * share,
});

/** Current over the junction voltage (V + I·R_s): explicit, no solving. */
const junctionA = (d: Diode, junctionV: number): number =>
  d.lightA - d.saturationA * Math.expm1(junctionV / d.idealityV) - junctionV / d.shuntOhm;

/** Voltage at a current, V; beyond the short-circuit current it falls along the shunt. Newton on the junction. */
export function voltageAt(d: Diode, currentA: number): number {
  const spareA = d.lightA - currentA;
  let v = spareA > 0 ? d.idealityV * Math.log(spareA / d.saturationA + 1) : spareA * d.shuntOhm;
  let slope = 0;
  for (let k = 0; k < 50; k++) {
    const grown = d.saturationA * Math.exp(v / d.idealityV);
    slope = grown / d.idealityV + 1 / d.shuntOhm;
    const step = (spareA - grown + d.saturationA - v / d.shuntOhm) / slope;
    v += step;
    if (Math.abs(step) < 1e-9) break;
  }
  d.slopeOhm = -d.seriesOhm - 1 / slope;
  return v - currentA * d.seriesOhm;
}

/** Current at a voltage, A; `guessV` is a junction voltage near the answer, if one is known. */
export function currentAt(d: Diode, voltageV: number, guessV = voltageV): number {
  let v = guessV;
  for (let k = 0; k < 60; k++) {
    const grown = d.saturationA * Math.exp(v / d.idealityV);
    const current = d.lightA - grown + d.saturationA - v / d.shuntOhm;
    const slope = 1 + d.seriesOhm * (grown / d.idealityV + 1 / d.shuntOhm);
    const step = (v - current * d.seriesOhm - voltageV) / slope;
    // From above the exponential overshoots by itself; from below Newton may leap over it.
    v -= Math.max(step, -d.idealityV * 4);
    if (Math.abs(step) < 1e-9) break;
  }
  return junctionA(d, v);
}

export const openCircuitV = (d: Diode): number => voltageAt(d, 0);
export const shortCircuitA = (d: Diode): number => currentAt(d, 0);

export interface PowerPoint {
  voltageV: number;
  currentA: number;
  powerW: number;
}

/** The maximum power point: Newton on dP = 0 over the junction voltage, where voltage and current are both explicit. */
export function maxPower(d: Diode): PowerPoint {
  if (d.lightA <= 0) return { voltageV: 0, currentA: 0, powerW: 0 };
  let v = openCircuitV(d) - d.idealityV * 3;
  for (let k = 0; k < 40; k++) {
    const grown = d.saturationA * Math.exp(v / d.idealityV);
    const current = d.lightA - grown + d.saturationA - v / d.shuntOhm;
    const slope = -grown / d.idealityV - 1 / d.shuntOhm;
    const bend = -grown / (d.idealityV * d.idealityV);
    // P = (v − I·R)·I, so P' = I + v·I' − 2·R·I·I'.
    const first = current + v * slope - 2 * d.seriesOhm * current * slope;
    const second = 2 * slope + v * bend - 2 * d.seriesOhm * (slope * slope + current * bend);
    const step = first / second;
    v -= Math.max(-d.idealityV * 2, Math.min(d.idealityV * 2, step));
    if (Math.abs(step) < 1e-9) break;
  }
  const currentA = junctionA(d, v);
  const voltageV = v - currentA * d.seriesOhm;
  return { voltageV, currentA, powerW: voltageV * currentA };
}
