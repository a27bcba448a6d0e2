/**
 * What is believed of a gauge: how many watt-hours of the label an outgoing one costs, what the station draws for itself,
 * what an incoming one brings, each with the AC outlets on and off, and how uneven its percents are. All in one Gaussian
 * belief with a prior from the label, corrected at every stretch between two ticks:
 *
 *   label/100 · (Δg + u) = outCost · E_out + ownW · Δt − inWorth · E_in + noise
 *
 * Δg is the energy of the stretch on the energy map, u what the gauge's unevenness adds to it, percent of the label.
 * Energies in Wh, powers in W, time in hours.
 */
import { type EnergyMap, energyAt } from './energy-map.ts';
import { dot, type LinearBelief, observe, withSum } from './linear-belief.ts';
import { KNOTS, priorCovariance, weightsBetween } from './unevenness.ts';

export type OutletState = 'on' | 'off';

/** outCost, ownW, inWorth with their covariance, row by row. */
export interface GaugeBelief {
  mean: [number, number, number];
  covariance: number[];
  /** Ticks learned from. */
  ticks: number;
}

/**
 * From the label alone. Means: 2.5 kW-class converters of the California list (P_dc = p0 + 1.08 · P_ac, p0 ≈ 12 W)
 * on a pack of which 97 % can be used; spreads: own judgement.
 */
export const LABEL_BELIEF: GaugeBelief = {
  mean: [1.11, 11, 0.95],
  covariance: [(1.11 * 0.06) ** 2, 0, 0, 0, (11 * 0.4) ** 2, 0, 0, 0, (0.95 * 0.05) ** 2],
  ticks: 0,
};

/** Without a label: the size itself is learned from the first ticks. */
export const UNLABELLED_BELIEF: GaugeBelief = {
  mean: [1.1, 10, 1],
  covariance: [1, 0, 0, 0, 8 ** 2, 0, 0, 0, 1],
  ticks: 0,
};

/** With the AC outlets off the converter rests: what is left is the station's electronics (own judgement). */
const OUTLETS_OFF_BELIEF: GaugeBelief = {
  mean: [1.08, 4, 0.95],
  covariance: [(1.08 * 0.06) ** 2, 0, 0, 0, (4 * 0.6) ** 2, 0, 0, 0, (0.95 * 0.05) ** 2],
  ticks: 0,
};
/** How far a tick lies from its boundary, percent (standard deviation; own judgement). */
const TICK_SD_PCT = 0.035;
/** Off by more than this factor it is no noise. */
const MOST_NOISE = 1.5;
/** Where in the belief the figures of each outlet state begin, and where the unevenness does. */
const FIRST = { on: 0, off: 3 } as const;
const UNEVEN = 6;
const SIZE = UNEVEN + KNOTS;

/** Energy between two states of charge: the map's, and what the gauge's unevenness adds, percent of the label. */
export interface GaugeSpan {
  mapPct: number;
  addedPct: number;
  /** Covariances of what is added with outCost, ownW and inWorth, and its variance. */
  covariance: [number, number, number, number];
}

/** What outlives a run: outCost, ownW, inWorth with the AC outlets on, then off, then the unevenness; and the own map. */
export interface GaugeMemory extends LinearBelief {
  ticksOn: number;
  ticksOff: number;
  map: EnergyMap | null;
}

/** What went out and came in, Wh, over some hours. */
export interface Used {
  outWh: number;
  inWh: number;
  hours: number;
}

/** Energy taken out, Wh of the label, by the middle of a belief. */
export const usedWh = ({ mean: [outCost, ownW, inWorth] }: GaugeBelief, { outWh, inWh, hours }: Used): number =>
  outCost * outWh + ownW * hours - inWorth * inWh;

/**
 * Learns from one stretch between two ticks; `believed` is moved in place.
 *
 * @param perPctWh label energy of 1 %
 * @param fromPct boundary it began at, and `toPct` the one it ended at
 * @param unsurePct how unsure the moments of the ticks make what was used, percent (standard deviation)
 */
export function learn(
  believed: LinearBelief,
  mode: OutletState,
  map: EnergyMap,
  perPctWh: number,
  fromPct: number,
  toPct: number,
  used: Used,
  unsurePct: number,
): void {
  const x = new Array<number>(SIZE).fill(0);
  const first = FIRST[mode];
  x[first] = used.outWh / perPctWh;
  x[first + 1] = used.hours / perPctWh;
  x[first + 2] = -used.inWh / perPctWh;
  const sign = fromPct > toPct ? 1 : -1;
  weightsBetween(Math.min(fromPct, toPct), Math.max(fromPct, toPct)).forEach((weight, k) => {
    x[UNEVEN + k] = -sign * weight;
  });
  const heldPct = energyAt(map, fromPct) - energyAt(map, toPct);
  const variance = TICK_SD_PCT ** 2 + unsurePct ** 2;
  observe(believed, x, heldPct, variance, withoutItsNoise(believed, x, heldPct, variance));
}

/**
 * What was used without its noise, as far as the surprise is likely to be noise. The noise is in what is measured, the used
 * energy, not in where the boundaries lie: least squares would draw all figures towards nought, tick by tick, as far as
 * unevenness makes up for it.
 */
function withoutItsNoise(believed: LinearBelief, x: readonly number[], heldPct: number, variance: number): number[] {
  let usedPct = 0;
  for (let i = 0; i < UNEVEN; i++) usedPct += x[i]! * believed.mean[i]!;
  const surprise = heldPct - dot(x, believed.mean);
  const noise = (surprise * variance) / (dot(x, withSum(believed, x)) + variance);
  const ratio = Math.min(MOST_NOISE, Math.max(1 / MOST_NOISE, 1 + noise / usedPct));
  return x.map((value, i) => (i < UNEVEN ? ratio * value : value));
}

/** A gauge that knows no more than the label; without one its size is learned too. */
export function freshGauge(labelled: boolean): GaugeMemory {
  const on = labelled ? LABEL_BELIEF : UNLABELLED_BELIEF;
  const off = labelled ? OUTLETS_OFF_BELIEF : UNLABELLED_BELIEF;
  const believed: LinearBelief = {
    mean: [...on.mean, ...off.mean, ...new Array<number>(KNOTS).fill(0)],
    covariance: new Array<number>(SIZE * SIZE).fill(0),
  };
  for (const [first, { covariance }] of [[FIRST.on, on] as const, [FIRST.off, off] as const])
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++) believed.covariance[SIZE * (first + i) + first + j] = covariance[3 * i + j]!;
  forgetUnevenness(believed, 1);
  return { ...believed, ticksOn: on.ticks, ticksOff: off.ticks, map: null };
}

/** A share of what was learned of the unevenness is given up; 1 is all of it. */
export function forgetUnevenness({ mean, covariance }: LinearBelief, share: number): void {
  const kept = 1 - share;
  for (let i = 0; i < SIZE; i++) {
    if (i >= UNEVEN) mean[i]! *= kept;
    for (let j = 0; j < SIZE; j++) {
      if (i < UNEVEN && j < UNEVEN) continue;
      covariance[SIZE * i + j]! *= i >= UNEVEN && j >= UNEVEN ? kept ** 2 : kept;
      if (i >= UNEVEN && j >= UNEVEN)
        covariance[SIZE * i + j]! += (1 - kept ** 2) * priorCovariance(i - UNEVEN, j - UNEVEN);
    }
  }
}

export function beliefIn({ mean, covariance }: LinearBelief, mode: OutletState, ticks: number): GaugeBelief {
  const first = FIRST[mode];
  const rows = [0, 1, 2].map(i => SIZE * (first + i) + first);
  return {
    mean: [mean[first]!, mean[first + 1]!, mean[first + 2]!],
    covariance: rows.flatMap(row => [covariance[row]!, covariance[row + 1]!, covariance[row + 2]!]),
    ticks,
  };
}

export function spanIn(
  believed: LinearBelief,
  mode: OutletState,
  map: EnergyMap,
  highPct: number,
  lowPct: number,
): GaugeSpan {
  const x = new Array<number>(SIZE).fill(0);
  weightsBetween(lowPct, highPct).forEach((weight, k) => {
    x[UNEVEN + k] = weight;
  });
  const px = withSum(believed, x);
  const first = FIRST[mode];
  return {
    mapPct: energyAt(map, highPct) - energyAt(map, lowPct),
    addedPct: dot(x, believed.mean),
    covariance: [px[first]!, px[first + 1]!, px[first + 2]!, dot(x, px)],
  };
}
