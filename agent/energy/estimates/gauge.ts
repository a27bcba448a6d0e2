/**
 * What a station's own percent is worth: how many watt-hours of the label an outgoing one costs, what it draws for
 * itself, what an incoming one brings. Learned between whole-percent ticks, each an exact boundary, by Bayesian linear
 * regression with a prior from the label (C. Bishop, Pattern Recognition and Machine Learning, 2006, eq. 3.50-3.51, here
 * one observation at a time).
 *
 *   label/100 · Δg = outCost · E_out + ownW · Δt − inWorth · E_in + noise
 *
 * Δg is the energy between two boundaries on the energy map, percent. Energies in Wh, powers in W, time in hours.
 */
import { type EnergyMap, energyAt, LFP_MAP } from './energy-map.ts';
import { createDischargeLog } from './own-map.ts';

const HOUR_MS = 3_600_000;
/** Longer without a reading, and what was used meanwhile is not known. */
export const BLIND_MS = 5 * 60_000;

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
/** Outlets that stop at or below this stopped because it was empty, percent. */
const EMPTY_PCT = 10;

/** Unevenness of a gauge's ticks, percent (standard deviation; own judgement). */
const TICK_SD_PCT = 0.12;
/** More than this between what was used and what the gauge says is no tick but a correction of the gauge, percent. */
const JUMP_PCT = 1.5;

export interface GaugeSample {
  at: number;
  outputW: number | null;
  inputW: number | null;
  stateOfChargePct: number | null;
  /** Whether the AC outlets are on; absent or null where the station does not say. */
  acOutletsOn?: boolean | null;
}

export interface GaugePlace {
  /** State of charge between ticks, percent; whole ones stand for the middle of what rounds to them. */
  pct: number;
  /** Half-width of what it could be, percent: 0.5 until the first tick. */
  doubtPct: number;
}

/** What outlives a run: one belief with the AC outlets on, one with them off, and the map of its own where there is one. */
export interface GaugeMemory {
  on: GaugeBelief;
  off: GaugeBelief;
  map: EnergyMap | null;
}

export interface Gauge {
  add(sample: GaugeSample): void;
  /** null before the first state of charge. */
  place(): GaugePlace | null;
  /** For the outlets as they are. */
  belief(): GaugeBelief;
  map(): EnergyMap;
  /** Ticks since the gauge began; a recalled belief's own are not counted. */
  ticks(): number;
  /** Instant of the last correction of the gauge that no energy explains; null when none. */
  jumpedAt(): number | null;
  memory(): GaugeMemory;
}

interface Mode {
  mean: [number, number, number];
  covariance: number[];
  ticks: number;
}
const modeOf = (belief: GaugeBelief): Mode => ({
  mean: [...belief.mean],
  covariance: [...belief.covariance],
  ticks: belief.ticks,
});

/**
 * @param ratedWh the label
 * @param memory what an earlier run learned
 */
export function createGauge(ratedWh: number, memory: GaugeMemory): Gauge {
  const modes = { on: modeOf(memory.on), off: modeOf(memory.off) };
  let ownMap = memory.map;
  let mode = modes.on;
  let ticks = 0;
  let jumpedAt: number | null = null;
  let last: GaugeSample | null = null;
  let shown: number | null = null;
  /** The last boundary, percent; null while unknown. Only from an exact one to the next is anything learned. */
  let boundary: number | null = null;
  let exact = false;
  const discharge = createDischargeLog();
  const since = { outWh: 0, inWh: 0, hours: 0 };
  const perPct = ratedWh / 100;
  const map = () => ownMap ?? LFP_MAP;

  const clear = () => {
    since.outWh = 0;
    since.inWh = 0;
    since.hours = 0;
  };
  const lose = () => {
    boundary = null;
    discharge.restart();
    clear();
  };
  const usedPct = () => (mode.mean[0] * since.outWh + mode.mean[1] * since.hours - mode.mean[2] * since.inWh) / perPct;

  const tick = (at: number, from: number, to: number) => {
    const reached = to + (from > to ? 0.5 : -0.5);
    if (boundary !== null && Math.abs(boundary - usedPct() - reached) > JUMP_PCT) {
      jumpedAt = at;
      lose();
      return;
    }
    // The first change seen may be of any size: only a single percent tells where it was crossed.
    if (boundary === null && Math.abs(from - to) !== 1) return;
    if (boundary !== null && exact && since.hours > 0) {
      const x = [since.outWh / perPct, since.hours / perPct, -since.inWh / perPct];
      observe(mode.mean, mode.covariance, x, energyAt(map(), boundary) - energyAt(map(), reached), TICK_SD_PCT ** 2);
      mode.ticks++;
    }
    if (to < from) discharge.tick(reached, usedPct());
    else discharge.restart();
    boundary = reached;
    exact = true;
    ticks++;
    clear();
  };

  const switchMode = (acOn: boolean, pct: number | null) => {
    if (!acOn && pct !== null && pct <= EMPTY_PCT) ownMap = discharge.ended(pct) ?? ownMap;
    // What was used so far was used in the other mode: the place is carried over, but it is no exact boundary.
    if (boundary !== null) boundary -= usedPct();
    exact = false;
    clear();
    mode = acOn ? modes.on : modes.off;
  };

  const integrate = (sample: GaugeSample) => {
    if (last === null) return;
    const gapMs = sample.at - last.at;
    if (gapMs > BLIND_MS) {
      lose();
      return;
    }
    const hours = gapMs / HOUR_MS;
    since.hours += hours;
    since.outWh += (hours * ((last.outputW ?? 0) + (sample.outputW ?? last.outputW ?? 0))) / 2;
    since.inWh += (hours * ((last.inputW ?? 0) + (sample.inputW ?? last.inputW ?? 0))) / 2;
  };

  return {
    add(sample) {
      integrate(sample);
      last = sample;
      const pct = sample.stateOfChargePct;
      const acOn = sample.acOutletsOn !== false;
      if (acOn !== (mode === modes.on)) switchMode(acOn, pct);
      if (pct === null) return;
      if (shown !== null && pct !== shown) tick(sample.at, shown, pct);
      shown = pct;
    },
    place() {
      if (shown === null) return null;
      if (boundary === null) return { pct: shown, doubtPct: 0.5 };
      const pct = Math.min(shown + 0.5, Math.max(shown - 0.5, boundary - usedPct()));
      return { pct, doubtPct: 0 };
    },
    belief: () => ({ mean: [...mode.mean], covariance: [...mode.covariance], ticks: mode.ticks }),
    map,
    ticks: () => ticks,
    jumpedAt: () => jumpedAt,
    memory: () => ({ on: { ...modeOf(modes.on) }, off: { ...modeOf(modes.off) }, map: ownMap }),
  };
}

/** A gauge that knows no more than the label; without one its size is learned too. */
export const freshGauge = (labelled: boolean): GaugeMemory => ({
  on: labelled ? LABEL_BELIEF : UNLABELLED_BELIEF,
  off: labelled ? OUTLETS_OFF_BELIEF : UNLABELLED_BELIEF,
  map: null,
});

/** One observation y = x · mean + noise: mean and covariance are moved in place. */
function observe(mean: number[], covariance: number[], x: readonly number[], y: number, variance: number): void {
  const px = [0, 1, 2].map(
    i => covariance[3 * i]! * x[0]! + covariance[3 * i + 1]! * x[1]! + covariance[3 * i + 2]! * x[2]!,
  );
  const spread = x[0]! * px[0]! + x[1]! * px[1]! + x[2]! * px[2]! + variance;
  const limit = 4 * Math.sqrt(spread);
  const surprise = y - (x[0]! * mean[0]! + x[1]! * mean[1]! + x[2]! * mean[2]!);
  const bounded = Math.min(limit, Math.max(-limit, surprise));
  for (let i = 0; i < 3; i++) {
    mean[i] = mean[i]! + (px[i]! / spread) * bounded;
    for (let j = 0; j < 3; j++) covariance[3 * i + j] = covariance[3 * i + j]! - (px[i]! * px[j]!) / spread;
  }
}
