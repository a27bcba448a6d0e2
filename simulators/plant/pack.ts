/**
 * The battery pack: energy, how much charge it accepts, its voltage and temperature. Lithium iron phosphate in shape:
 * a flat voltage, a charge current that falls over the last tenth. All figures invented; energies in Wh, powers in W,
 * positive while charging.
 */

export interface PackFacts {
  readonly ratedWh: number;
  /** Share of the label that can really be taken out. */
  readonly usableShare: number;
  /** Charge power accepted below the taper, W. */
  readonly maxChargeW: number;
  readonly chargeEfficiency: number;
  readonly dischargeEfficiency: number;
  readonly cells: number;
  /** Whole pack, ohm. */
  readonly resistanceOhm: number;
}

export interface Pack {
  readonly capacityWh: number;
  energyWh(): number;
  /** True share, 0..1; what the station shows is whole percent. */
  share(): number;
  tempC(): number;
  voltageV(): number;
  /** Most power it takes at its terminals over the next `dtS`, W. */
  acceptW(dtS: number): number;
  tooColdToCharge(): boolean;
  /** Power at the terminals, charging positive; returns what was lost as heat, Wh. */
  step(powerW: number, dtS: number, roomTempC: number): number;
}

const TAPER_FROM = 0.9;
/** Charge current at the end of the taper, as a share of the full one. */
const TAPER_END = 0.03;
const COLD_C = 0;

/** Share of the full charge power accepted at a state of charge: 1 below 90 %, falling to 3 % when full. */
export function taperShare(share: number): number {
  if (share <= TAPER_FROM) return 1;
  return TAPER_END + (1 - TAPER_END) * ((1 - share) / (1 - TAPER_FROM)) ** 0.9;
}

/** Open-circuit voltage of one cell, V: a plateau with a knee at either end. */
export const cellOpenCircuitV = (share: number): number =>
  3.235 + 0.085 * share - 0.4 * Math.exp(-24 * share) + 0.13 * Math.exp(-38 * (1 - share));

/** A pack holding `startShare` of its capacity. */
export function createPack(facts: PackFacts, startShare: number, startTempC: number): Pack {
  const capacityWh = facts.ratedWh * facts.usableShare;
  let energyWh = capacityWh * startShare;
  let tempC = startTempC;
  let currentA = 0;
  const share = () => energyWh / capacityWh;
  const openV = () => facts.cells * cellOpenCircuitV(share());
  return {
    capacityWh,
    energyWh: () => energyWh,
    share,
    tempC: () => tempC,
    voltageV: () => openV() + currentA * facts.resistanceOhm,
    tooColdToCharge: () => tempC < COLD_C,
    acceptW(dtS) {
      if (tempC < COLD_C) return 0;
      const roomWh = Math.max(0, capacityWh - energyWh);
      return Math.min(facts.maxChargeW * taperShare(share()), (roomWh * 3600) / dtS / facts.chargeEfficiency);
    },
    step(powerW, dtS, roomTempC) {
      const wh = (powerW * dtS) / 3600;
      const stored = powerW >= 0 ? wh * facts.chargeEfficiency : wh / facts.dischargeEfficiency;
      energyWh = Math.min(capacityWh, Math.max(0, energyWh + stored));
      currentA = powerW / openV();
      const lostWh = wh - stored;
      // Half a kelvin a watt of loss, two hours to follow the room.
      const target = roomTempC + 0.5 * ((lostWh * 3600) / dtS);
      tempC = target + (tempC - target) * Math.exp(-dtS / 7200);
      return lostWh;
    },
  };
}
