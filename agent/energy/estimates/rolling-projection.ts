/**
 * When the floor is reached, when the outlets stop, when it is full: from rolling averages over several windows, with a
 * range from how those windows differ. Pure: history, expected input and the instant are arguments.
 *
 * Middle: the mean load of the past, looking back as far as one looks ahead (at least an hour), which is the best
 * simple estimator known for household loads. Range: the load level is taken as log-normal, its spread growing with the
 * horizon and with how much the windows disagree; its form is a fit to recorded household loads (own judgement).
 * One course of the state of charge is followed for each 5 % of probability; the courses are ordered, so the moments are.
 */
import {
  type BatteryPrior,
  changePctPerHour,
  deliverableWh,
  ENERGY_SPREAD,
  fastestPctPerHour,
} from './battery-prior.ts';
import { normalQuantile } from './normal.ts';

/** Mean power of the last `minutes`, and the share of it that was recorded. */
export interface Window {
  minutes: number;
  inputW: number;
  outputW: number;
  /** 0-1. */
  coverage: number;
}

export interface ProjectionInput {
  atMs: number;
  stateOfChargePct: number | null;
  ratedWh: number | null;
  floorPct: number;
  ceilingPct: number;
  lowCutoffPct: number;
  /** Shortest first; windows without any reading left out. */
  windows: readonly Window[];
  /** Minutes of the last day that were recorded. */
  historyMinutes: number;
  /** Expected input ahead, one value each `stepMs`; its length sets the horizon. */
  inputAheadW: readonly number[];
  /** Most the ports take, W; null where unknown. */
  inputLimitW: number | null;
  stepMs: number;
  prior: BatteryPrior;
}

export type Why = 'ok' | 'noStateOfCharge' | 'noPower' | 'noRatedWh' | 'noHistory' | 'atFloor' | 'atFull';

/** UTC epoch ms; null where the moment lies past the horizon. */
export interface Moments {
  p10: number;
  p50: number | null;
  p90: number | null;
}

export interface Projection {
  toward: 'empty' | 'full' | 'steady' | 'none';
  why: Why;
  early: boolean;
  emptyAt: Moments | null;
  stopsAt: Moments | null;
  fullAt: Moments | null;
  leftWh: number | null;
  quantiles: { p: number; at: number | null }[];
  /** State of charge, percent, at each step ahead: one column a probability, lowest first. */
  courses: { p: number; pct: number[] }[];
}

/** Below this nothing is promised. */
export const LEAST_HISTORY_MIN = 5;
/** Below this the promise is called early. */
const EARLY_HISTORY_MIN = 60;
const PROBABILITIES = Array.from({ length: 19 }, (_, i) => (i + 1) / 20);
/** Spread of the expected input about its mean, in log: little within minutes, broken cloud within hours (own judgement). */
const INPUT_SPREAD_NOW = 0.08;
const INPUT_SPREAD_LATER = 0.4;
const SKY_LASTS_H = 2.5;

const nothing = (why: Why, early = false): Projection => ({
  toward: 'none',
  why,
  early,
  emptyAt: null,
  stopsAt: null,
  fullAt: null,
  leftWh: null,
  quantiles: [],
  courses: [],
});

/** How much the windows' mean loads disagree: standard deviation of their logarithms, shrunk toward 0.2 by two votes. */
export function disagreement(windows: readonly Window[]): number {
  const logs = windows.filter(w => w.coverage > 0.5).map(w => Math.log(w.outputW + 5));
  const mean = logs.reduce((a, b) => a + b, 0) / Math.max(1, logs.length);
  const squares = logs.reduce((sum, x) => sum + (x - mean) ** 2, 0);
  return Math.sqrt((squares + 2 * 0.2 ** 2) / (logs.length + 2));
}

/**
 * Log-spread of the load over a horizon, given the history behind it. Form: own judgement; constants: fitted so that
 * the 80 % range held in 81 % of 384 projections over 96 discharges under recorded household loads.
 *
 * @param horizonH hours ahead
 * @param historyH hours behind
 * @param apart how much the windows disagree
 */
export const loadSpread = (horizonH: number, historyH: number, apart: number): number =>
  0.1 + (0.6 + 1.6 * apart) * Math.sqrt(horizonH / (horizonH + historyH + 0.25));

/** Mean load over the window that looks back as far as `horizonMin` looks ahead, an hour at least. */
export function matchedOutputW(windows: readonly Window[], horizonMin: number): number {
  const usable = windows.filter(w => w.coverage > 0);
  const wanted = Math.max(60, horizonMin);
  return (usable.find(w => w.minutes >= wanted) ?? usable.at(-1)!).outputW;
}

/** @returns a projection; `toward: none` with the reason where the input does not carry one. */
export function project(input: ProjectionInput): Projection {
  const { stateOfChargePct: pct, ratedWh, windows } = input;
  if (pct === null) return nothing('noStateOfCharge');
  if (ratedWh === null) return nothing('noRatedWh');
  if (windows.length === 0) return nothing('noPower');
  if (input.historyMinutes < LEAST_HISTORY_MIN) return nothing('noHistory', true);

  const courses = PROBABILITIES.map(p => ({ p, pct: course(input, ratedWh, pct, normalQuantile(p)) }));
  const emptyAt = moments(input, courses, levels => fallsTo(levels, input.floorPct));
  const fullAt = moments(input, [...courses].reverse(), levels => risesTo(levels, input.ceilingPct));
  const stopsAt = moments(input, courses, levels => fallsTo(levels, input.lowCutoffPct));
  const full = fullAt.middle;
  const empty = emptyAt.middle;
  const toward = full !== null && (empty === null || full < empty) ? 'full' : empty !== null ? 'empty' : 'steady';
  return {
    toward,
    why: pct <= input.floorPct ? 'atFloor' : pct >= input.ceilingPct ? 'atFull' : 'ok',
    early: input.historyMinutes < EARLY_HISTORY_MIN,
    emptyAt: emptyAt.moments,
    stopsAt: stopsAt.moments,
    fullAt: fullAt.moments,
    leftWh: deliverableWh(ratedWh, pct, input.floorPct, Math.max(1, usualOutputW(input, courses)), input.prior),
    quantiles: (toward === 'full' ? fullAt : emptyAt).quantiles,
    courses,
  };
}

/** Load matched to how long the middle course takes to the floor. */
function usualOutputW(input: ProjectionInput, courses: readonly { pct: number[] }[]): number {
  const steps = fallsTo(courses[9]!.pct, input.floorPct) ?? input.inputAheadW.length;
  return matchedOutputW(input.windows, (steps * input.stepMs) / 60_000);
}

/** State of charge at every step ahead for one standard-normal score; low scores use more, gather less, hold less. */
function course(input: ProjectionInput, ratedWh: number, startPct: number, score: number): number[] {
  const { inputAheadW, inputLimitW, stepMs, prior, ceilingPct, lowCutoffPct } = input;
  const apart = disagreement(input.windows);
  const stepH = stepMs / 3_600_000;
  const capacityWh = ratedWh * Math.exp(score * ENERGY_SPREAD);
  const levels = [startPct];
  let level = startPct;
  for (let i = 0; i < inputAheadW.length; i++) {
    const spread = loadSpread((i + 1) * stepH, input.historyMinutes / 60, apart);
    const stopped = level <= lowCutoffPct;
    // Each moment ahead is told by the window that looks back as far.
    const outputW = matchedOutputW(input.windows, (i + 1) * stepH * 60);
    const load = stopped ? 0 : outputW * Math.exp(-score * spread);
    const inputW = Math.min(
      inputAheadW[i]! * inputFactor((i + 1) * stepH, score),
      inputLimitW ?? Number.POSITIVE_INFINITY,
    );
    const rate = changePctPerHour(capacityWh, inputW, load, prior);
    const moved = level + Math.min(rate, fastestPctPerHour(level)) * stepH;
    level = Math.min(Math.max(level, ceilingPct), Math.max(0, moved));
    levels.push(level);
  }
  return levels;
}

/** Factor on the expected input at a horizon; mean one over scores, so that spreading does not raise what is expected. */
function inputFactor(horizonH: number, score: number): number {
  const spread =
    INPUT_SPREAD_NOW + (INPUT_SPREAD_LATER - INPUT_SPREAD_NOW) * Math.sqrt(1 - Math.exp(-horizonH / SKY_LASTS_H));
  return Math.exp(score * spread - spread ** 2 / 2);
}

/** Step (fractional) at which a course first comes down to `target`, or null. */
function fallsTo(levels: readonly number[], target: number): number | null {
  const i = levels.findIndex(level => level <= target);
  if (i < 0) return null;
  return i === 0 ? 0 : i - (target - levels[i]!) / (levels[i - 1]! - levels[i]!);
}

function risesTo(levels: readonly number[], target: number): number | null {
  const i = levels.findIndex(level => level >= target);
  if (i < 0) return null;
  return i === 0 ? 0 : i - (levels[i]! - target) / (levels[i]! - levels[i - 1]!);
}

/** `courses` ordered from the earliest event to the latest. */
function moments(
  input: ProjectionInput,
  courses: readonly { pct: number[] }[],
  passage: (levels: readonly number[]) => number | null,
) {
  const times = courses.map(({ pct }) => {
    const step = passage(pct);
    return step === null ? null : Math.round(input.atMs + step * input.stepMs);
  });
  const [early, middle, late] = [times[1]!, times[9]!, times[17]!];
  return {
    middle,
    moments: early === null ? null : { p10: early, p50: middle, p90: late },
    quantiles: times.map((at, i) => ({ p: PROBABILITIES[i]!, at })),
  };
}
