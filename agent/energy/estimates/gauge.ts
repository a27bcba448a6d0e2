/**
 * Where a station stands between the whole percents it shows, and what they are worth: every tick is an exact boundary,
 * and from one to the next what went out and came in is summed. A tick is seen up to a reading late, half of one on
 * average. Powers in W, energies in Wh, states of charge in percent.
 */
import { type EnergyMap, LFP_MAP } from './energy-map.ts';
import {
  beliefIn,
  forgetUnevenness,
  type GaugeBelief,
  type GaugeMemory,
  type GaugeSpan,
  learn,
  type OutletState,
  spanIn,
  type Used,
  usedWh,
} from './gauge-belief.ts';
import type { LinearBelief } from './linear-belief.ts';
import { createDischargeLog } from './own-map.ts';

const HOUR_MS = 3_600_000;
/** Longer without a reading, and what was used meanwhile is not known. */
export const BLIND_MS = 5 * 60_000;

/** Outlets that stop at or below this stopped because it was empty, percent. */
const EMPTY_PCT = 10;

/** More than this between what was used and what the gauge says is no tick but a correction of the gauge, percent. */
const JUMP_PCT = 1.5;
/** A stretch is learned from once the unsureness of its ends is at most this share of what was used in it. */
const SURE_SHARE = 0.08;
/** After so many percent what is used is known well enough. */
const SETTLED_PCT = 20;
/** However uneven, a percent holds this much, percent of the label. */
const LEAST_PCT_HOLDS = 0.3;
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

export interface Gauge {
  add(sample: GaugeSample): void;
  /** null before the first state of charge. */
  place(): GaugePlace | null;
  /** For the outlets as they are. */
  belief(): GaugeBelief;
  /** Between a higher and a lower state of charge, percent. */
  between(highPct: number, lowPct: number): GaugeSpan;
  map(): EnergyMap;
  /** Ticks since the gauge began; a recalled belief's own are not counted. */
  ticks(): number;
  /** Instant of the last correction of the gauge that no energy explains; null when none. */
  jumpedAt(): number | null;
  memory(): GaugeMemory;
}

const NOTHING: Used = { outWh: 0, inWh: 0, hours: 0 };
const plus = (a: Used, b: Used): Used => ({
  outWh: a.outWh + b.outWh,
  inWh: a.inWh + b.inWh,
  hours: a.hours + b.hours,
});
const times = (a: Used, factor: number): Used => ({
  outWh: factor * a.outWh,
  inWh: factor * a.inWh,
  hours: factor * a.hours,
});

/**
 * @param ratedWh the label
 * @param memory what an earlier run learned
 */
export function createGauge(ratedWh: number, memory: GaugeMemory): Gauge {
  const believed: LinearBelief = { mean: [...memory.mean], covariance: [...memory.covariance] };
  const learnedFrom = { on: memory.ticksOn, off: memory.ticksOff };
  let ownMap = memory.map;
  let mode: OutletState = 'on';
  let ticks = 0;
  let jumpedAt: number | null = null;
  let last: GaugeSample | null = null;
  let shown: number | null = null;
  /** The last boundary, percent; null while unknown. */
  let boundary: number | null = null;
  /** The stretch that will be learned from: begun at an exact boundary, with what was used in it up to the last tick. */
  let stretch: { fromPct: number; used: Used } | null = null;
  const discharge = createDischargeLog();
  /** Since the boundary, and since a percent was last read: in which of these moments a tick fell is not known. */
  let since: Used = NOTHING;
  let unseen: Used = NOTHING;
  const perPct = ratedWh / 100;
  const map = () => ownMap ?? LFP_MAP;

  const lose = () => {
    boundary = null;
    stretch = null;
    discharge.restart();
    since = NOTHING;
  };
  const belief = () => beliefIn(believed, mode, learnedFrom[mode]);
  const usedPct = (used: Used) => usedWh(belief(), used) / perPct;
  const between = (highPct: number, lowPct: number) => spanIn(believed, mode, map(), highPct, lowPct);
  /** State of charge from the last boundary on, at what the percent beside it holds. */
  const reckoned = (from: number) => {
    const used = usedPct(since);
    const { mapPct, addedPct } = used > 0 ? between(from, from - 1) : between(from + 1, from);
    return from - used / Math.max(LEAST_PCT_HOLDS, mapPct + addedPct);
  };

  const tick = (at: number, from: number, to: number) => {
    const reached = to + (from > to ? 0.5 : -0.5);
    if (boundary !== null && Math.abs(reckoned(boundary) - reached) > JUMP_PCT) {
      jumpedAt = at;
      forgetUnevenness(believed, 1);
      lose();
      return;
    }
    // The first change seen may be of any size: only a single percent tells where it was crossed.
    if (boundary === null && Math.abs(from - to) !== 1) return;
    const half = times(unseen, 0.5);
    const used = plus(since, times(half, -1));
    if (to < from) discharge.tick(reached, usedPct(used));
    else discharge.restart();
    learnTo(reached, used);
    boundary = reached;
    ticks++;
    since = half;
  };

  /** From stretches so long that it matters little at which moment between two readings their ticks fell. */
  const learnTo = (reached: number, used: Used) => {
    if (stretch !== null && boundary !== null && used.hours > 0) {
      const turned = (stretch.fromPct - boundary) * (boundary - reached) < 0;
      const whole = turned ? { fromPct: boundary, used } : { ...stretch, used: plus(stretch.used, used) };
      const unsurePct = usedPct(unseen) / Math.sqrt(6);
      // What was used is off by its own unsureness: once its worth is known the stretch itself says how long it is.
      const longPct = learnedFrom[mode] < SETTLED_PCT ? usedPct(whole.used) : whole.fromPct - reached;
      if (whole.fromPct === reached || Math.abs(unsurePct) > SURE_SHARE * Math.abs(longPct)) {
        stretch = whole;
        return;
      }
      learn(believed, mode, map(), perPct, whole.fromPct, reached, whole.used, unsurePct);
      learnedFrom[mode] += Math.abs(whole.fromPct - reached);
    }
    stretch = { fromPct: reached, used: NOTHING };
  };

  const takeOwnMap = (map: EnergyMap | null) => {
    if (map === null) return;
    ownMap = map;
    // The map holds what was uneven about the chemistry's.
    forgetUnevenness(believed, 1);
  };

  const switchMode = (acOn: boolean, pct: number | null) => {
    if (!acOn && pct !== null && pct <= EMPTY_PCT) takeOwnMap(discharge.ended(pct));
    // What was used so far was used in the other mode: the place is carried over, but it is no exact boundary.
    if (boundary !== null) boundary = reckoned(boundary);
    stretch = null;
    since = NOTHING;
    mode = acOn ? 'on' : 'off';
  };

  const integrate = (sample: GaugeSample) => {
    if (last === null) return;
    const gapMs = sample.at - last.at;
    if (gapMs > BLIND_MS) {
      lose();
      return;
    }
    const hours = gapMs / HOUR_MS;
    const step: Used = {
      outWh: (hours * ((last.outputW ?? 0) + (sample.outputW ?? last.outputW ?? 0))) / 2,
      inWh: (hours * ((last.inputW ?? 0) + (sample.inputW ?? last.inputW ?? 0))) / 2,
      hours,
    };
    since = plus(since, step);
    unseen = plus(unseen, step);
  };

  return {
    add(sample) {
      integrate(sample);
      last = sample;
      const pct = sample.stateOfChargePct;
      const acOn = sample.acOutletsOn !== false;
      if (acOn !== (mode === 'on')) switchMode(acOn, pct);
      if (pct === null) return;
      if (shown !== null && pct !== shown) tick(sample.at, shown, pct);
      shown = pct;
      unseen = NOTHING;
    },
    place() {
      if (shown === null) return null;
      if (boundary === null) return { pct: shown, doubtPct: 0.5 };
      const pct = Math.min(shown + 0.5, Math.max(shown - 0.5, reckoned(boundary)));
      return { pct, doubtPct: 0 };
    },
    belief,
    between,
    map,
    ticks: () => ticks,
    jumpedAt: () => jumpedAt,
    memory: () => ({
      mean: [...believed.mean],
      covariance: [...believed.covariance],
      ticksOn: learnedFrom.on,
      ticksOff: learnedFrom.off,
      map: ownMap,
    }),
  };
}
