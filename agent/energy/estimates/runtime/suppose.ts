/**
 * What if: the same station, gauge and sky under another load, with something more coming in, or with the sky of some
 * days set by hand. What is supposed is never foretold: it cannot come true.
 */
import { type Chance, createChance } from '../chance.ts';
import { addRare, type RareCycle } from '../plugged-in/rare-cycles.ts';
import type { DrawLoad } from './load-paths.ts';
import type { Past } from './minutes.ts';
import type { DrawSun } from './sun-paths.ts';

export interface Supposed {
  /** The load's past as it would have been. */
  past?: Past;
  /** Instead of any past: this load, from now on, W. */
  loadW?: number;
  /** Big cycles hours apart that `past` was freed of. */
  rare?: readonly RareCycle[];
  /** Comes in besides, W, at minutes ahead. */
  addedW?: (minutesAhead: number) => number;
  /** Sky set by hand at minutes ahead: from and to which share of a clear one; null where it is left open. */
  clearness?: (minutesAhead: number) => readonly [low: number, high: number] | null;
  /** Looks at least so far ahead, min. */
  leastMin?: number;
  /** Most steps, fewer than usual where many questions are asked at once. */
  steps?: number;
  paths?: number;
}

/** Far from any other use of a seed. */
const LOADS = 7919;

/** Each course has draws of its own, so that two suppositions differ by what is supposed and not by chance. */
export function supposedLoad({ loadW, rare = [] }: Supposed, stepMin: number, draw: DrawLoad, seed: number): DrawLoad {
  if (loadW !== undefined)
    return (_, into) => {
      into.fill(loadW);
    };
  let course = 0;
  return (_, into, score) => {
    course++;
    const chance = createChance(seed + LOADS * course);
    draw(chance, into, score);
    for (const cycle of rare) addRare(cycle, chance, stepMin, into);
  };
}

/** What comes in besides goes the way of the sun: into the battery with the same losses, no faster than it takes it. */
export function supposedSun({ addedW }: Supposed, stepMin: number, draw: DrawSun | null): DrawSun | null {
  if (addedW === undefined) return draw;
  return (chance: Chance, into: Float64Array) => {
    if (draw === null) into.fill(0);
    else draw(chance, into);
    for (let s = 0; s < into.length; s++) into[s]! += addedW((s + 0.5) * stepMin);
  };
}
