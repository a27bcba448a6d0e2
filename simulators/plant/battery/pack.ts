/**
 * The battery pack: lithium iron phosphate cells in series with a resistance, a small overvoltage either way, coulombs
 * that do not all stay, a charge current that falls near full, and no charging below freezing. State is charge; energy
 * is what lies below it. Powers in W at the terminals, positive while charging; Wh; °C.
 */
import { energyBelowV, openCircuitCellV } from './cell.ts';
import { taperShare } from './taper.ts';

export interface PackFacts {
  /** On the label. */
  readonly ratedWh: number;
  readonly cells: number;
  /** What a cell really holds, Ah. */
  readonly capacityAh: number;
  /** Whole pack, Ω. */
  readonly resistanceOhm: number;
  /** Overvoltage of one cell at any larger current, V: what charging and discharging part by. */
  readonly overvoltageV: number;
  /** Share of the charge put in that stays. */
  readonly coulombShare: number;
  /** Charge current below the taper, A. */
  readonly maxChargeA: number;
  readonly maxDischargeA: number;
}

export interface Pack {
  /** Energy when full, Wh. */
  readonly capacityWh: number;
  energyWh(): number;
  /** True charge, 0..1. */
  share(): number;
  tempC(): number;
  voltageV(): number;
  currentA(): number;
  /** Most power it takes at its terminals over the next `dtS`, W. */
  acceptW(dtS: number): number;
  /** Most power it gives over the next `dtS`, W. */
  giveW(dtS: number): number;
  tooColdToCharge(): boolean;
  /** Power at the terminals, charging positive, within `acceptW` and `giveW`; returns what was lost as heat, Wh. */
  step(powerW: number, dtS: number, roomTempC: number): number;
}

const COLD_C = 0;
/** Below this charge the voltage falls off within minutes. */
const STEEP_BELOW = 0.06;
/** Current at which the overvoltage is about three quarters of its full value, A. */
const OVERVOLTAGE_A = 1;
/** Half a kelvin a watt of loss, two hours to follow the room: own judgement. */
const WARMING_K_PER_W = 0.5;
const FOLLOW_S = 7200;

/** A pack holding `startShare` of its charge. */
export function createPack(facts: PackFacts, startShare: number, startTempC: number): Pack {
  const energyAt = (share: number) => facts.cells * facts.capacityAh * energyBelowV(share);
  let share = Math.min(1, Math.max(0, startShare));
  let tempC = startTempC;
  let currentA = 0;
  const openAt = (at: number) => facts.cells * openCircuitCellV(at);
  const over = (amps: number) =>
    amps * facts.resistanceOhm + facts.cells * facts.overvoltageV * Math.tanh(amps / OVERVOLTAGE_A);
  /** Current that makes this power at the terminals, A: fixed point, the drop is small beside the voltage. */
  const ampsFor = (powerW: number, open: number): number => {
    let amps = powerW / open;
    for (let k = 0; k < 4; k++) amps = powerW / Math.max(0.5 * open, open + over(amps));
    return amps;
  };
  const moved = (amps: number, dtS: number) =>
    (amps * (amps > 0 ? facts.coulombShare : 1) * dtS) / 3600 / facts.capacityAh;
  /** Mean open-circuit voltage between here and another charge, V. */
  const meanOpen = (to: number) => {
    const end = Math.min(1, Math.max(0, to));
    return Math.abs(end - share) < 1e-9
      ? openAt(share)
      : (energyAt(end) - energyAt(share)) / (facts.capacityAh * (end - share));
  };
  return {
    capacityWh: energyAt(1),
    energyWh: () => energyAt(share),
    share: () => share,
    tempC: () => tempC,
    voltageV: () => openAt(share) + over(currentA),
    currentA: () => currentA,
    tooColdToCharge: () => tempC < COLD_C,
    acceptW(dtS) {
      if (tempC < COLD_C || share >= 1) return 0;
      const roomA = ((1 - share) * facts.capacityAh * 3600) / dtS / facts.coulombShare;
      const amps = Math.min(facts.maxChargeA * taperShare(share), roomA);
      return amps * (openAt(share) + over(amps));
    },
    giveW(dtS) {
      const amps = Math.min(facts.maxDischargeA, (share * facts.capacityAh * 3600) / dtS);
      return amps * Math.max(0, openAt(share + moved(-amps, dtS) / 2) - over(amps));
    },
    step(powerW, dtS, roomTempC) {
      let open = openAt(share);
      currentA = powerW === 0 ? 0 : ampsFor(powerW, open);
      // The mean voltage of the way gone stands for the step, so that energy balances; on the steep end in a few rounds.
      for (let k = 0; k < (share < STEEP_BELOW ? 6 : 1) && powerW !== 0; k++) {
        open = meanOpen(share + moved(currentA, dtS));
        currentA = ampsFor(powerW, open);
      }
      const left = share + moved(currentA, dtS);
      // Within its limits it misses full or empty by a rounding only.
      share = left > 1 - 1e-9 ? 1 : Math.max(0, left);
      const wastedA = currentA > 0 ? currentA * (1 - facts.coulombShare) : 0;
      const lostWh = ((currentA * over(currentA) + wastedA * open) * dtS) / 3600;
      const target = roomTempC + (WARMING_K_PER_W * lostWh * 3600) / dtS;
      tempC = target + (tempC - target) * Math.exp(-dtS / FOLLOW_S);
      return lostWh;
    },
  };
}
