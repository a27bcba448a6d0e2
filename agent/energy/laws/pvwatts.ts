/**
 * Watts from light and cell temperature, and the losses behind a panel.
 *
 * A. P. Dobos, PVWatts Version 5 Manual, NREL/TP-6A20-62641 (2014), eq. 8 (power) and 13 (losses); numbers from memory.
 */

/** Percent of the power lost to each cause. */
export type LossesPct = Readonly<
  Record<
    | 'soiling'
    | 'shading'
    | 'snow'
    | 'mismatch'
    | 'wiring'
    | 'connections'
    | 'lightInduced'
    | 'nameplate'
    | 'age'
    | 'availability',
    number
  >
>;

/** The manual's own, for a fixed system on a roof. */
export const FIXED_LOSSES_PCT: LossesPct = {
  soiling: 2,
  shading: 3,
  snow: 0,
  mismatch: 2,
  wiring: 2,
  connections: 0.5,
  lightInduced: 1.5,
  nameplate: 1,
  age: 0,
  availability: 3,
};

/** A few panels put out into the sun by hand: no shade, nothing out of service, little mismatch (own judgement). */
export const PORTABLE_LOSSES_PCT: LossesPct = { ...FIXED_LOSSES_PCT, shading: 0, mismatch: 1, availability: 0 };

/** For a panel whose datasheet is not known: silicon, on the cautious side (own judgement). 1/K. */
export const UNKNOWN_POWER_PER_K = -0.004;

/** What all losses take together, as a share: 1 − Π (1 − L/100). Eq. 13. */
export const lossShare = (losses: LossesPct): number =>
  1 - Object.values(losses).reduce((left, pct) => left * (1 - pct / 100), 1);

/**
 * DC power, W, not below 0. Eq. 8.
 *
 * @param effectiveWm2 light on the cells, after reflection
 * @param peakW power at 1000 W/m² and 25 °C
 * @param powerPerK relative change of power a kelvin, negative
 */
export const dcPowerW = (effectiveWm2: number, cellTempC: number, peakW: number, powerPerK: number): number =>
  Math.max(0, (effectiveWm2 / 1000) * peakW * (1 + powerPerK * (cellTempC - 25)));
