/**
 * What the station believes of its pack: a coulomb counter that reads a little wrong and cannot see the smallest
 * currents, so that it drifts; anchored anew when the pack is full, and when the cells' voltage falls off near empty.
 * Then what is shown jumps. Shown in whole percent by the station's own rounding.
 */
import { openCircuitCellV, shareAtCellV } from './cell.ts';

export interface GaugeFacts {
  /** What it counts of a charge current, 1 = exactly; below 1 it falls behind. */
  readonly chargeGain: number;
  /** What it counts of a discharge current. */
  readonly dischargeGain: number;
  /** Below this it counts nothing, A. */
  readonly blindA: number;
  readonly rounding: 'floor' | 'round' | 'ceil';
}

export interface Gauge {
  /** What the station believes, 0..1. */
  share(): number;
  /** Whole percent. */
  shownPct(): number;
  /** Counts a step; `trueShare` decides only whether the pack is full or its voltage has fallen off. */
  count(currentA: number, dtS: number, trueShare: number): void;
}

/** Voltage of one cell at rest under which the gauge trusts it more than its count, V. */
const FALLEN_V = 3.15;
/** It looks again only after having been above this. */
const REARMED_SHARE = 0.16;
/** Until full is seen, it shows no more. */
const ALMOST = 0.994;

/** A gauge that begins by being right. */
export function createGauge(facts: GaugeFacts, capacityAh: number, startShare: number): Gauge {
  let share = startShare;
  let armed = startShare > REARMED_SHARE;
  const whole = Math[facts.rounding];
  return {
    share: () => share,
    shownPct: () => Math.min(100, Math.max(0, whole(Math.round(share * 1e6) / 1e4))),
    count(currentA, dtS, trueShare) {
      if (Math.abs(currentA) >= facts.blindA) {
        const gain = currentA > 0 ? facts.chargeGain : facts.dischargeGain;
        share += (currentA * gain * dtS) / 3600 / capacityAh;
      }
      share = Math.min(ALMOST, Math.max(0, share));
      if (trueShare >= 1) share = 1;
      if (trueShare > REARMED_SHARE) armed = true;
      const cellV = openCircuitCellV(trueShare);
      if (armed && cellV < FALLEN_V) {
        share = shareAtCellV(cellV);
        armed = false;
      }
    },
  };
}
