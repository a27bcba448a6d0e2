/**
 * How much of a battery's energy is left at a state of charge, both in percent. The lithium iron phosphate map is the
 * mean of the C/20 and C/2 discharges of a 2 Ah LiFePO4/graphite cell (About-Energy parameterisation, CC BY-SA 4.0):
 * nearly straight, and the last tenth of the charge holds nine tenths of a tenth of the energy.
 */

/** Points from 0 to 100 %, both columns rising. */
export interface EnergyMap {
  readonly chargePct: readonly number[];
  readonly energyPct: readonly number[];
}

export const LFP_MAP: EnergyMap = {
  chargePct: [0, 2, 5, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90, 95, 100],
  energyPct: [0, 1.55, 4.25, 9, 13.9, 18.85, 28.85, 38.9, 49.05, 59.1, 69.25, 79.5, 89.75, 94.85, 100],
};

/** Energy left, percent, at a state of charge; straight between points, held at the ends. */
export function energyAt(map: EnergyMap, chargePct: number): number {
  const { chargePct: x, energyPct: y } = map;
  if (chargePct <= x[0]!) return y[0]!;
  for (let i = 1; i < x.length; i++) {
    if (chargePct <= x[i]!) {
      const share = (chargePct - x[i - 1]!) / (x[i]! - x[i - 1]!);
      return y[i - 1]! + share * (y[i]! - y[i - 1]!);
    }
  }
  return y[y.length - 1]!;
}

/** State of charge at which `energyPct` is left: the inverse. */
export const chargeAt = (map: EnergyMap, energyPct: number): number =>
  energyAt({ chargePct: map.energyPct, energyPct: map.chargePct }, energyPct);
