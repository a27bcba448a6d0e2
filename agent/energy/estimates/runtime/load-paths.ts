/**
 * Likely courses of the load: blocks of the recorded past strung together, recent ones more often (block bootstrap,
 * H. Künsch, Ann. Statist. 17 (1989) 1217), the first block taken from where the past looked like the last minutes, so
 * that it knows whether the compressor runs; some courses follow the same hours of the day before. On top every course
 * has a level of its own. Constants: own judgement, fitted to 96 recorded discharges under household loads.
 */
import type { Chance } from '../chance.ts';
import { createDayBefore } from './day-before.ts';
import { createFactors, FACTOR_BITS, levelFactors } from './level-factors.ts';
import { levelSpread } from './level-spread.ts';
import { indexAt, type Past } from './minutes.ts';
import { stepMeans } from './step-means.ts';
import { createUsualLoad } from './usual-load.ts';
import { createPick, runningSums } from './weighted.ts';

export interface LoadPathsOptions {
  nowMinute: number;
  /** Minutes ahead that matter most: to the floor, roughly. */
  horizonMin: number;
  /** What was plugged in before this minute is not what is now; 0 where the whole past counts. */
  sinceMinute: number;
  /**
   * How long what is new has been there, min: what has lasted so long lasts as long again with even odds (J. Gott, Nature
   * 363 (1993) 315), longer where the past before was short, and then it is as before. null where it is said to stay.
   */
  lastedMin: number | null;
  stepMin: number;
  steps: number;
  /** Local minus universal time, min; null where the clock is not known. */
  offsetMin: number | null;
}

/**
 * Fills `into` with mean watts a step; `score` is where the course's level lies, in spreads of it. A shorter `into` of
 * `evenSteps` gets the first steps of what a longer one gets from the same draws.
 */
export type DrawLoad = (chance: Chance, into: Float64Array, score: number) => void;

const BLOCK_MIN = 50;
const HALF_MIN = BLOCK_MIN / 2;
/** A past minute counts half as much every so long, or every this share of the horizon where that is longer. */
const HALF_LIFE_MIN = 45;
const HALF_LIFE_SHARE = 0.52;
const ANALOG_MIN = 10;
const ANALOG_SHARE = 0.75;
/** Squared distance, in logarithms of watts, at which a moment counts a third as much as an equal one. */
const ANALOG_WIDTH = 0.08;
const DAY_SHARE = 0.7;
/** A past of so many minutes says as little of what is usual as of how long something new stays (own judgement). */
const SAYS_LITTLE_MIN = 120;
/** Kept off zero, so that a router switched off is not infinitely far from one running, W. */
const SOFTENING_W = 10;

/** Rows of the past that blocks are drawn from, with running sums of their weights. */
interface Pool {
  from: number;
  until: number;
  draw: (uniform: number) => number;
}

/** @returns null where nothing was recorded */
export function createLoadPaths(past: Past, o: LoadPathsOptions): DrawLoad | null {
  if (past.count === 0) return null;
  const { minutes, outputW, count } = past;
  const first = Math.min(count - 1, indexAt(past, o.sinceMinute));
  const isNew = first > 0 && o.lastedMin !== null;
  const halfLife = Math.max(HALF_LIFE_MIN, HALF_LIFE_SHARE * o.horizonMin);
  const recency = (from: number, until: number): Pool => ({
    from,
    until,
    draw: createPick(runningSums(recencies(past, from, until, o.nowMinute, halfLife))),
  });
  const now = recency(first, count);
  const before = isNew ? recency(0, first) : null;
  const stays = 1 + SAYS_LITTLE_MIN / Math.max(1, first);
  const alike = analogs(past, first, recencies(past, first, count, o.nowMinute, 4 * halfLife));
  const level = levelSpread(past, isNew ? 0 : first, o.stepMin, o.steps);
  const usual = o.offsetMin === null ? () => 1 : createUsualLoad(past, isNew ? 0 : first, o.offsetMin);
  const dayBefore = first > 0 && !isNew ? null : createDayBefore(past, o.nowMinute, o.stepMin, o.steps, !isNew);

  const stepW = stepMeans(outputW.subarray(0, count), o.stepMin);

  const factors = createFactors(o.steps);

  const stringBlocks = (chance: Chance, into: Float64Array, start: number, until: number, pool: Pool) => {
    let filled = start;
    let from =
      pool === now && alike !== null && chance.uniform() < ANALOG_SHARE
        ? first + ANALOG_MIN + alike(chance.uniform())
        : pool.from + pool.draw(chance.uniform());
    while (filled < until) {
      // The block's own hour of the day is taken off it, and that of where it comes to lie put on.
      const level = usual(o.nowMinute + filled * o.stepMin + HALF_MIN) / usual(minutes[from]! + HALF_MIN);
      // A block at the very end of the past may be shorter than a step: it then stands for one.
      const whole = Math.floor(Math.min(BLOCK_MIN, pool.until - from) / o.stepMin);
      const end = Math.min(until, filled + Math.max(1, whole));
      copySteps(stepW, from, o.stepMin, level, factors, into, filled, end);
      filled = end;
      from = pool.from + pool.draw(chance.uniform());
    }
  };

  return (chance, into, score) => {
    levelFactors(factors, level, score, into.length);
    const staysMin = before === null ? 0 : o.lastedMin! * ((1 - chance.uniform()) ** -stays - 1);
    const old = Math.min(into.length, Math.ceil(staysMin / o.stepMin));
    if (old > 0) stringBlocks(chance, into, 0, old, now);
    if (dayBefore === null || chance.uniform() >= DAY_SHARE)
      stringBlocks(chance, into, old, into.length, before ?? now);
    else dayBefore(chance, into, old, factors);
  };
}

/** Steps of the past from one of its rows on, brought to a level. */
function copySteps(
  stepW: Float64Array,
  row: number,
  stepMin: number,
  level: number,
  factors: Float64Array,
  into: Float64Array,
  from: number,
  until: number,
): void {
  for (let s = from, k = row; s < until; s++, k += stepMin) into[s] = level * stepW[k]! * factors[s >> FACTOR_BITS]!;
}

/**
 * Draws a moment that looked like the last minutes: index i stands for the minute first + ANALOG_MIN + i. null where the
 * past is too short to hold any.
 *
 * @param recency weights of the rows from `first` on
 */
function analogs(past: Past, first: number, recency: Float64Array): ((uniform: number) => number) | null {
  const { outputW, count } = past;
  const known = count - first;
  const n = known - 2 * ANALOG_MIN;
  if (n < 2 * ANALOG_MIN) return null;
  const feel = new Float32Array(known);
  for (let i = 0; i < known; i++) feel[i] = Math.log(outputW[first + i]! + SOFTENING_W);
  const now = feel.subarray(known - ANALOG_MIN);
  const weights = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let distance = 0;
    for (let k = 0; k < ANALOG_MIN; k++) distance += (feel[i + k]! - now[k]!) ** 2;
    weights[i] = Math.exp(-distance / ANALOG_MIN / ANALOG_WIDTH) * recency[i + ANALOG_MIN]! + 1e-12;
  }
  return createPick(runningSums(weights));
}

/**
 * Weights of rows of the past that halve every so long: powers of whole hours or so times those of the minutes within,
 * since a power of its own for each row of eight days takes longer than all else here.
 */
function recencies({ minutes }: Past, from: number, until: number, nowMinute: number, halfLife: number): Float64Array {
  const weights = new Float64Array(until - from);
  const fine = Float64Array.from({ length: 64 }, (_, i) => 2 ** (-i / halfLife));
  const last = minutes[until - 1]!;
  let block = -1;
  let coarse = 1;
  for (let i = 0; i < weights.length; i++) {
    const back = last - minutes[from + i]!;
    if (back >> 6 !== block) {
      block = back >> 6;
      coarse = 2 ** (-(nowMinute - last + 64 * block) / halfLife);
    }
    weights[i] = coarse * fine[back & 63]!;
  }
  return weights;
}
