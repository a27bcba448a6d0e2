/** What a SunSpec device shows of a plant: values in their units, battery current and power positive while charging. */
export interface Shown {
  readonly solarW: number;
  readonly solarV: number;
  readonly solarA: number;
  readonly wallW: number;
  readonly acW: number;
  readonly dcW: number;
  readonly acOn: boolean;
  readonly chargePct: number;
  readonly ratedWh: number;
  readonly batteryV: number;
  readonly batteryA: number;
  /** Running totals since it was made. */
  readonly solarWh: number;
  readonly acOutputWh: number;
  readonly dcOutputWh: number;
  readonly wallWh: number;
  /** Counts seconds. */
  readonly heartbeat: number;
}

export const HEALTH_PCT = 98;
export const AC_V = 230;
export const AC_HZ = 50;
/** Amps below which a battery is neither charging nor discharging. */
const STILL_A = 0.02;

const DISCHARGING = 3;
const CHARGING = 4;
const HOLDING = 6;

export const chargeState = ({ batteryA }: Shown): number =>
  batteryA > STILL_A ? CHARGING : batteryA < -STILL_A ? DISCHARGING : HOLDING;
