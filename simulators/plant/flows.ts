/** The powers of one step, as the ledger and the station's own display want them. W. */
import type { SampleStates } from './sample.ts';

export interface Flows {
  solarW: number;
  /** What the sun would have brought in without any limit. */
  sunOfferW: number;
  panelV: number;
  limit: SampleStates['inputLimitedBy'];
  chargerW: number;
  /** Charging positive. */
  packW: number;
  /** Lost between ports and battery side. */
  lostW: number;
  acW: number;
  dcW: number;
  /** All that the wall gives: to the charger and straight through to the AC outlets. */
  wallW: number;
  /** Everything the battery side gives: converter, DC outlets, own electronics. */
  busW: number;
}

/** Kept and refilled: a new object of numbers a step costs more than the physics. */
export const still = (): Flows => ({
  solarW: 0,
  sunOfferW: 0,
  panelV: 0,
  limit: 'nothing',
  chargerW: 0,
  packW: 0,
  lostW: 0,
  acW: 0,
  dcW: 0,
  wallW: 0,
  busW: 0,
});

/** Writes a step's powers in the order of the ledger's columns. */
export function fillPowers(row: Float64Array, f: Flows, packLostW: number, mains: boolean): void {
  row[0] = f.solarW;
  row[1] = f.wallW;
  row[2] = f.solarW + f.wallW;
  row[3] = f.acW + f.dcW;
  row[4] = f.acW;
  row[5] = f.dcW;
  row[6] = Math.max(0, f.packW);
  row[7] = Math.max(0, -f.packW);
  row[8] = f.lostW + packLostW + f.busW - f.dcW - (mains ? 0 : f.acW);
  row[9] = f.sunOfferW - f.solarW;
}

export const statesOf = (f: Flows, on: { mains: boolean; ac: boolean; dc: boolean }): SampleStates => ({
  acOutletsOn: on.ac,
  dcOutletsOn: on.dc,
  onMains: on.mains,
  inputLimitedBy: f.limit,
  // With both coming in there is no one word for it; the two powers are told apart.
  inputSource: f.wallW === 0 ? 'sun' : f.solarW === 0 ? 'wall' : 'unknown',
});
