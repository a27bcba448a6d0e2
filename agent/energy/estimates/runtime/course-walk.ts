/**
 * One course of the battery's level, step by step, until it comes to an edge: the innermost loop of a refresh, gone
 * through some 900 000 times. It sees numbers and typed arrays alone, since a number that is also handed to a call, or
 * kept in an object, is put on the heap at every step. Energies in Wh of the label.
 */

/** Where the numbers of a walk lie in its row: first what moves, the rest stays while it walks. */
export const LEVEL = 0;
export const LOWEST = 1;
export const LOWEST_STEP = 2;
/** The level before the step that came to an edge, and what moved in it before there was no more room. */
export const BEFORE = 3;
export const MOVED = 4;
/** It stops at or below the one, and at or above the other. */
export const ABOVE = 5;
export const BELOW = 6;
export const START = 7;
/** How fast the percents below and above the start go by, against the map. */
export const DOWN = 8;
export const UP = 9;
/** What a step takes: for each watt of the load, and by itself; what it brings: for each watt of sun, and steadily. */
export const COST_HOURS = 10;
export const OWN = 11;
export const WORTH_HOURS = 12;
export const GAIN = 13;
/** So much goes in in a step at any level up to `EASY_TO`; beyond either there is a most. */
export const EASY = 14;
export const EASY_TO = 15;
export const CEILING = 16;
export const RATED = 17;
export const STEP_HOURS = 18;
const NUMBERS = 19;

/** Most a nearly full pack takes, shares of the label an hour: at 90 % and at 100 %, from the measured charge. */
const ACCEPT_AT_90 = 0.69;
const ACCEPT_AT_100 = 0.1;
const FALLS_FROM = 0.9;

/** Levels of every course at every so many steps. */
export interface Fan {
  /** Row by row, `paths` a row. */
  levels: Float32Array;
  paths: number;
  every: number;
}

export const createWalk = (): Float64Array => new Float64Array(NUMBERS);

/** Up to where a pack without a charger takes the same at any level, and how much in a step. */
export function acceptEasily(walk: Float64Array): void {
  walk[EASY] = walk[STEP_HOURS]! * acceptedW(0, walk[RATED]!);
  walk[EASY_TO] = FALLS_FROM * walk[RATED]!;
}

/**
 * Walks on from a step until one ends at an edge, writing the fan's levels of a course on the way.
 *
 * @param walk its numbers; those that move are brought up to date
 * @param most of a charger: what goes in in a step at a level; null without one, when the pack alone says
 * @returns the step that ended at an edge, or `until`
 */
export function walkOn(
  walk: Float64Array,
  loads: Float64Array,
  suns: Float64Array,
  most: ((level: number) => number) | null,
  { levels, paths, every }: Fan,
  course: number,
  from: number,
  until: number,
): number {
  const [above, below, start] = [walk[ABOVE]!, walk[BELOW]!, walk[START]!];
  const [down, up] = [walk[DOWN]!, walk[UP]!];
  const [costHours, own, worthHours, gain] = [walk[COST_HOURS]!, walk[OWN]!, walk[WORTH_HOURS]!, walk[GAIN]!];
  const [easy, easyTo, ceiling] = [walk[EASY]!, walk[EASY_TO]!, walk[CEILING]!];
  const [rated, stepHours] = [walk[RATED]!, walk[STEP_HOURS]!];
  let level = walk[LEVEL]!;
  let before = level;
  let moved = 0;
  let lowest = walk[LOWEST]!;
  let lowestStep = walk[LOWEST_STEP]!;
  let step = from;
  let atEdge = false;
  while (step < until && !atEdge) {
    const past = step % every;
    if (past === 0) levels[(step / every) * paths + course] = level;
    const end = Math.min(until, step - past + every);
    for (; step < end; step++) {
      before = level;
      moved = worthHours * suns[step]! - (costHours * loads[step]! + own) + gain;
      if (moved > 0) {
        const room = ceiling - level;
        if (room > 0) {
          if (moved > easy || level > easyTo)
            moved = Math.min(moved, most === null ? stepHours * acceptedW(level / rated, rated) : most(level));
          moved *= level >= start ? up : down;
          level += Math.min(moved, room);
        }
      } else {
        level += moved * (level > start ? up : down);
        if (level < lowest) {
          lowest = level;
          lowestStep = step + 1;
        }
      }
      if (level > above && level < below) continue;
      atEdge = true;
      break;
    }
  }
  walk[LEVEL] = level;
  walk[LOWEST] = lowest;
  walk[LOWEST_STEP] = lowestStep;
  walk[BEFORE] = before;
  walk[MOVED] = moved;
  return step;
}

/** A course that moves no more from a step on: the rest of its fan. */
export function standStill({ levels, paths, every }: Fan, course: number, fromStep: number, level: number): void {
  for (let i = Math.ceil(fromStep / every) * paths + course; i < levels.length; i += paths) levels[i] = level;
}

/** Most the pack takes at a share of its label, W of the label. */
function acceptedW(share: number, ratedWh: number): number {
  const into = Math.min(1, Math.max(0, (share - FALLS_FROM) / 0.1));
  return ratedWh * (ACCEPT_AT_90 - into * (ACCEPT_AT_90 - ACCEPT_AT_100));
}
