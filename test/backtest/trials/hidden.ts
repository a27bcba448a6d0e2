/**
 * Stations with hidden true values for the proof of Trials, drawn within stated bounds: what the battery really holds,
 * how wrong and how uneven the gauge counts, how it rounds, what converter and electronics draw, how far the station's
 * own instruments are off, and the external meter. Cells, pack and gauge are the plant's.
 */
import { type Chance, createChance } from '#energy/estimates/chance';
import { energyBelowV, openCircuitCellV } from '../../../simulators/plant/battery/cell.ts';
import type { GaugeFacts } from '../../../simulators/plant/battery/gauge.ts';
import type { PackFacts } from '../../../simulators/plant/battery/pack.ts';

export interface Instruments {
  /** Shown over true. */
  readonly outGain: number;
  readonly inGain: number;
  readonly batteryVGain: number;
  readonly batteryAGain: number;
  readonly batteryAOffset: number;
  readonly stepW: number;
  readonly wattsRounding: 'floor' | 'round' | 'ceil';
  /** Shown as nothing below this. */
  readonly deadW: number;
  readonly noiseShare: number;
  readonly noiseW: number;
  readonly everyMs: number;
  /** Tells battery volts and amperes. */
  readonly tellsBattery: boolean;
}

export interface Hidden {
  readonly seed: number;
  readonly ratedWh: number;
  readonly pack: PackFacts;
  readonly gauge: GaugeFacts;
  /** What every shown percent is off by, % of charge: amplitudes of a smooth course, and a jitter of each boundary. */
  readonly warpPct: readonly number[];
  readonly jitterPct: number;
  readonly lowCutoffPct: number;
  readonly converter: {
    readonly idleW: number;
    readonly p1: number;
    readonly p2: number;
    /** A fan starts here and draws so much; the judge's curve knows no fan. */
    readonly fanFromW: number;
    readonly fanW: number;
    readonly maxW: number;
  };
  readonly housekeepingW: number;
  readonly chargerMaxW: number;
  readonly chargerShare: number;
  readonly own: Instruments;
  readonly meter: {
    readonly gain: number;
    readonly stepW: number;
    readonly stepWh: number;
    readonly everyMs: number;
    readonly rounding: 'floor' | 'round' | 'ceil';
  };
  readonly roomC: number;
  /** What the station takes as full, 0 to 1 of its charge. */
  readonly fullShare: number;
}

/** Limits of error that the judge is told. */
export const TOLD = { ownWattsLimitPct: 3, batteryLimitPct: 1, meterLimitPct: 1 } as const;

const pick = <T>(chance: Chance, of: readonly T[]): T => of[Math.floor(chance.uniform() * of.length)]!;

function drawInstruments(chance: Chance, batteryVGain: number): Instruments {
  const between = (min: number, max: number) => min + (max - min) * chance.uniform();
  const within = (limit: number) => between(-limit, limit);
  return {
    outGain: 1 + within(TOLD.ownWattsLimitPct) / 100,
    inGain: 1 + within(TOLD.ownWattsLimitPct) / 100,
    batteryVGain,
    batteryAGain: (1 + within(TOLD.batteryLimitPct) / 100) / batteryVGain,
    batteryAOffset: within(0.02),
    stepW: pick(chance, [0.1, 1]),
    wattsRounding: pick(chance, ['floor', 'round', 'ceil'] as const),
    deadW: between(0, 3),
    noiseShare: between(0.0005, 0.003),
    noiseW: between(0.02, 0.4),
    everyMs: pick(chance, [10_000, 20_000, 30_000]),
    tellsBattery: chance.uniform() < 0.5,
  };
}

/** A station by its seed. */
export function drawHidden(seed: number): Hidden {
  const chance = createChance(seed);
  const between = (min: number, max: number) => min + (max - min) * chance.uniform();
  const within = (limit: number) => between(-limit, limit);
  const ratedWh = pick(chance, [512, 768, 1024, 1280, 1640, 2048, 2560, 3200]);
  const cells = ratedWh < 700 ? 8 : 16;
  const holds = ratedWh * (0.97 + 0.03 * chance.normal());
  const maxW = ratedWh * between(0.8, 1.2);
  const capacityAh = holds / cells / energyBelowV(1);
  const volts = cells * openCircuitCellV(0.5);
  const batteryVGain = 1 + within(0.1) / 100;
  return {
    seed,
    ratedWh,
    pack: {
      ratedWh,
      cells,
      capacityAh,
      resistanceOhm: (volts / capacityAh) * between(0.02, 0.05),
      overvoltageV: between(0.006, 0.016),
      coulombShare: between(0.992, 0.998),
      maxChargeA: capacityAh * between(0.3, 0.6),
      maxDischargeA: capacityAh * 1.6,
    },
    gauge: {
      chargeGain: 1 + 0.01 * chance.normal(),
      dischargeGain: 1 + 0.015 * chance.normal(),
      blindA: between(0, 0.06),
      rounding: pick(chance, ['floor', 'round', 'ceil'] as const),
    },
    warpPct: [within(0.25), within(0.2), within(0.15)],
    jitterPct: 0.12,
    lowCutoffPct: pick(chance, [0, 0, 1, 3, 5]),
    converter: {
      idleW: between(4, 10) + 0.006 * maxW,
      p1: between(1.03, 1.085),
      p2: between(0.01, 0.05) / maxW,
      fanFromW: between(0.3, 0.6) * maxW,
      fanW: between(0, 4),
      maxW,
    },
    housekeepingW: between(0.8, 4),
    chargerMaxW: ratedWh * between(0.25, 0.9),
    chargerShare: between(0.88, 0.94),
    own: drawInstruments(chance, batteryVGain),
    meter: {
      gain: 1 + within(TOLD.meterLimitPct) / 100,
      stepW: pick(chance, [0.1, 1]),
      stepWh: pick(chance, [0.1, 1, 10]),
      everyMs: pick(chance, [5_000, 10_000, 15_000]),
      rounding: pick(chance, ['floor', 'round', 'ceil'] as const),
    },
    roomC: between(15, 30),
    fullShare: between(0.994, 1),
  };
}

/** Share of `acW` that the battery side gives for it, the electronics' own among it, 0 to 1: the true efficiency. */
export const trueBusW = ({ converter: c, housekeepingW }: Hidden, acW: number): number =>
  c.idleW + c.p1 * acW + c.p2 * acW * acW + (acW > c.fanFromW ? c.fanW : 0) + housekeepingW;

/** Between 90 and 55 % of charge, where curves are measured: what the battery's content loses for `busW` at its terminals, W: its own resistance among it. */
export function trueContentW({ pack }: Hidden, busW: number): number {
  const open = pack.cells * openCircuitCellV(0.73);
  let amps = busW / open;
  for (let k = 0; k < 8; k++)
    amps = busW / (open - amps * pack.resistanceOhm - pack.cells * pack.overvoltageV * Math.tanh(amps));
  return amps * open;
}
