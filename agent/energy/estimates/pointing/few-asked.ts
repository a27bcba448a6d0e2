/**
 * What is asked of why so few watts come in, and what is answered. Only what the station tells is used: everything here
 * but the watts may be null. W, V, A, °C, %.
 */
/** The station at a moment, as means of the last ten seconds or so. */
export interface Observed {
  readonly gotW: number;
  /** Going out of the station. */
  readonly outputW: number | null;
  readonly stateOfChargePct: number | null;
  readonly batteryTempC: number | null;
  readonly solarVoltageV: number | null;
  readonly solarCurrentA: number | null;
  /** As the station says itself; null where it does not say. */
  readonly limitedBy: 'nothing' | 'full' | 'port' | 'cold' | 'owner' | null;
  readonly airTempC: number | null;
  /** Measured on the plane of the panels. */
  readonly planeOfArrayWm2: number | null;
  /** Of the last minutes. */
  readonly sky: 'steady' | 'unsteady' | 'unknown';
}

/** What the owner told about panels, ports and lead. */
export interface Wired {
  /** Equal panels on the station; null where unlike ones, or how many is not known. */
  readonly count: number | null;
  /** All panels together, W. */
  readonly ratedW: number;
  /** Of one panel, on its label. */
  readonly maxPowerV: number | null;
  readonly openCircuitV: number | null;
  readonly maxPowerA: number | null;
  /** Relative changes a kelvin, negative; null where not told. */
  readonly powerPerK: number | null;
  readonly openCircuitPerK: number | null;
  /** Of the port they go into. */
  readonly port: {
    readonly minV: number | null;
    readonly maxV: number | null;
    readonly maxA: number | null;
    readonly maxW: number | null;
  };
  /** One way; null where not told. */
  readonly lead: { readonly lengthM: number; readonly conductorMm2: number } | null;
  /** Charge at which the owner has it stop, %; 100 where not set. */
  readonly ceilingPct: number;
  /** Drawn by the station itself with everything off, W. */
  readonly idleW: number | null;
}

export type CauseCode =
  | 'full'
  | 'taper'
  | 'port'
  | 'owner'
  | 'cold'
  | 'load'
  | 'stringMissing'
  | 'panelShaded'
  | 'lowVoltage'
  | 'heat'
  | 'dirt'
  | 'lead'
  | 'cloud';

export interface Cause {
  readonly cause: CauseCode;
  /** The numbers fit it, and fit nothing else as well. */
  readonly likely: boolean;
  /** Of what is missing from the middle of the band, W; null where no number can be put on it. */
  readonly explainsW: number | null;
}
