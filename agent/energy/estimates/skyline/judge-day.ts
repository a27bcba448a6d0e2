/**
 * What one day at a spot says of the sky it saw, patch by patch.
 *
 * The sun is easy to believe while panels look towards it: three minutes at the sun's level mean that the beam came
 * through, whatever the rest of the day was, and a limit only ever takes away. Shade is not: clouds lower power too. And
 * where panels look away, a bright cloud gives as much as the sun. So such minutes count only beside clear ones: the hour
 * and a half to either side, other dips that hold still left out, must be mostly at the sun's level; where one side is
 * not there (night, a gap, panels carried off) the other has to do, and then fluttering minutes count half. What is left
 * of clouds is left to the other days: an edge comes again at the same place of the sky, a cloud does not. Bounds are our
 * own judgement.
 */
import type { DayRecord } from './day-record.ts';
import { patchAt, type Vote } from './patches.ts';
import type { Scale } from './scale.ts';
import { DAY_MINUTES, type DayLight, type DaySun } from './solar-day.ts';

/** Less of the light than this from the sun, and nothing can be told from its being gone. */
const BEAM_AT_LEAST = 0.73;
/** Hazy air lights shade more than the clear-sky law says: by half more, on the middle of simulated days. */
const HAZE = 1.5;
/** Panels that get no more than this of what falls on level ground can get as much from a bright cloud. */
const TOWARDS_AT_LEAST = 0.85;
/**
 * A sun that grazes the panels: a degree of tilt then changes as many percents as the tangent of the angle says, so that
 * below the first cosine nothing is told and below the second only what is plainly sun or plainly shade.
 */
const FACING_AT_LEAST = 0.2;
const FACING_WELL = 0.42;
const PLAINLY_SHADE = 0.38;
/** Below, haze takes as much as a hedge. */
const LOWEST_SUN_DEG = 6;
/** Of the day's best under a clear sky: dimmer minutes drown in haze and in the instrument. */
const DIM_SHARE = 0.04;
/** Share of the beam from which a minute is at the sun's level. */
const SUN_FROM = 0.8;
/** Shares of the beam taken as all shade and as all sun. */
const ALL_SHADE = 0.3;
const ALL_SUN = 0.7;
const RUN_AT_LEAST_MIN = 3;
const CONTEXT_MIN = 90;
const CONTEXT_KNOWN_MIN = 15;
const CONTEXT_CLEAR = 0.7;
const STILL_SHARE = 0.7;
/** The level follows the sun's minutes this far around. */
const LEVEL_REACH_MIN = 60;
const LEVEL_STEP_MIN = 10;
/** But no further than this from the day's own. */
const LEVEL_STRAYS = 0.12;
const PATCH_MIN = 1.5;

export interface JudgedDay {
  readonly votes: readonly Vote[];
  readonly minutes: number;
  /** Minutes at the sun's level and steady. */
  readonly clearMin: number;
}

/** One day's minutes, as judged so far: share of the beam that came through, NaN where nothing can be told. */
interface Beam {
  readonly share: Float64Array;
  readonly first: number;
  readonly last: number;
}

function tellingMinute(k: number, sun: DaySun, light: DayLight, bestPerW: number): boolean {
  return (
    sun.elevationDeg[k]! >= LOWEST_SUN_DEG &&
    light.beamShare[k]! >= BEAM_AT_LEAST &&
    light.facing[k]! >= FACING_AT_LEAST &&
    light.perW[k]! >= DIM_SHARE * bestPerW
  );
}

/** Share of the beam that came through, from power as a share of the sun's level. */
const beamThrough = (ratio: number, beamShare: number): number => {
  const even = HAZE * (1 - beamShare);
  return (ratio - even) / (1 - even);
};

/** The day's own level at each ten minutes: the middle of the sun's steady minutes around, else of the day, else `gainW`. */
function levelsOf(record: DayRecord, light: DayLight, steady: Uint8Array, telling: Uint8Array, gainW: number) {
  const ratios: { k: number; ratio: number }[] = [];
  for (let k = record.first; k <= record.last; k += 2) {
    if (telling[k] !== 1 || steady[k] !== 1 || record.limited[k] === 1) continue;
    const ratio = record.powerW[k]! / light.perW[k]!;
    const through = beamThrough(ratio / gainW, light.beamShare[k]!);
    if (through >= 0.75 && through <= 1.3) ratios.push({ k, ratio });
  }
  const middle = (of: number[]) => of.sort((a, b) => a - b)[of.length >> 1]!;
  const ofDay = ratios.length < 15 ? gainW : middle(ratios.map(r => r.ratio));
  let [from, to] = [0, 0];
  return Array.from({ length: DAY_MINUTES / LEVEL_STEP_MIN }, (_, i) => {
    const at = (i + 0.5) * LEVEL_STEP_MIN;
    while (to < ratios.length && ratios[to]!.k <= at + LEVEL_REACH_MIN) to++;
    while (from < to && ratios[from]!.k < at - LEVEL_REACH_MIN) from++;
    if (to - from < 10) return ofDay;
    const here = middle(ratios.slice(from, to).map(r => r.ratio));
    return Math.min(ofDay * (1 + LEVEL_STRAYS), Math.max(ofDay * (1 - LEVEL_STRAYS), here));
  });
}

function beamOf(record: DayRecord, sun: DaySun, light: DayLight, steady: Uint8Array, gainW: number): Beam {
  let bestPerW = 0;
  for (const perW of light.perW) bestPerW = Math.max(bestPerW, perW);
  const telling = new Uint8Array(DAY_MINUTES);
  for (let k = record.first; k <= record.last; k++)
    if (!Number.isNaN(record.powerW[k]!) && tellingMinute(k, sun, light, bestPerW)) telling[k] = 1;
  const levels = levelsOf(record, light, steady, telling, gainW);
  const share = new Float64Array(DAY_MINUTES).fill(Number.NaN);
  for (let k = record.first; k <= record.last; k++) {
    if (telling[k] !== 1) continue;
    const level = levels[Math.floor(k / LEVEL_STEP_MIN)]!;
    const through = beamThrough(record.powerW[k]! / (level * light.perW[k]!), light.beamShare[k]!);
    if (light.facing[k]! < FACING_WELL && through > PLAINLY_SHADE && through < SUN_FROM) continue;
    // What a limit leaves may still be the sun's; what it takes says nothing.
    if (record.limited[k] !== 1 || through >= SUN_FROM) share[k] = through;
  }
  return { share, first: record.first, last: record.last };
}

interface Run {
  from: number;
  /** Last minute. */
  to: number;
}

/** Stretches without a hole of minutes for which `holds`, of at least three minutes. */
function runsOf({ first, last }: Beam, holds: (k: number) => boolean): Run[] {
  const runs: Run[] = [];
  for (let k = first; k <= last; k++) {
    if (!holds(k)) continue;
    const from = k;
    while (k + 1 <= last && holds(k + 1)) k++;
    if (k - from + 1 >= RUN_AT_LEAST_MIN) runs.push({ from, to: k });
  }
  return runs;
}

/** How clear one side of a run is; null where too few minutes of it tell. */
function clearBeside(beam: Beam, light: DayLight, from: number, to: number, still: Uint8Array): number | null {
  let [known, clear] = [0, 0];
  for (let k = Math.max(beam.first, from); k <= Math.min(beam.last, to); k++) {
    const share = beam.share[k]!;
    if (Number.isNaN(share) || still[k] === 1 || light.towards[k]! < TOWARDS_AT_LEAST) continue;
    known++;
    if (share >= SUN_FROM) clear++;
  }
  return known < CONTEXT_KNOWN_MIN ? null : clear / known;
}

/** How much to believe each minute: 0 not at all. */
function believed(beam: Beam, light: DayLight, steady: Uint8Array): Float64Array {
  const weight = new Float64Array(DAY_MINUTES);
  const sure = (k: number) => beam.share[k]! >= SUN_FROM && light.towards[k]! >= TOWARDS_AT_LEAST;
  for (const { from, to } of runsOf(beam, sure)) weight.fill(1, from, to + 1);
  const runs = runsOf(beam, k => !Number.isNaN(beam.share[k]!) && !sure(k));
  // A dip that holds still may be shade as well, and says nothing of whether the sky is clear.
  const still = new Uint8Array(DAY_MINUTES);
  for (const { from, to } of runs) {
    let count = 0;
    for (let k = from; k <= to; k++) count += steady[k]!;
    if (count >= STILL_SHARE * (to - from + 1)) still.fill(1, from, to + 1);
  }
  for (const { from, to } of runs) {
    const sides = [
      clearBeside(beam, light, from - CONTEXT_MIN, from - 1, still),
      clearBeside(beam, light, to + 1, to + CONTEXT_MIN, still),
    ];
    const there = sides.filter(side => side !== null);
    if (there.length === 0 || there.some(side => side < CONTEXT_CLEAR)) continue;
    for (let k = from; k <= to; k++) weight[k] = there.length === 2 || steady[k] === 1 ? 1 : 0.5;
  }
  return weight;
}

/** @param steady of `steadyMinutes`; @param scale what the sun's level is, give or take a day's haze */
export function judgeDay(record: DayRecord, sun: DaySun, light: DayLight, steady: Uint8Array, scale: Scale): JudgedDay {
  const beam = beamOf(record, sun, light, steady, scale.gainW);
  const weights = believed(beam, light, steady);
  const sums = new Map<number, { sun: number; weight: number; minutes: number }>();
  let [minutes, clearMin] = [0, 0];
  for (let k = record.first; k <= record.last; k++) {
    const weight = weights[k]!;
    if (weight === 0) continue;
    if (beam.share[k]! >= SUN_FROM && steady[k] === 1) clearMin++;
    const through = Math.min(1, Math.max(0, (beam.share[k]! - ALL_SHADE) / (ALL_SUN - ALL_SHADE)));
    const patch = patchAt(sun.azimuthDeg[k]!, sun.elevationDeg[k]!);
    const of = sums.get(patch) ?? { sun: 0, weight: 0, minutes: 0 };
    of.sun += through;
    of.weight += weight;
    of.minutes++;
    minutes++;
    sums.set(patch, of);
  }
  const votes = [...sums].flatMap(([patch, of]) =>
    of.minutes < PATCH_MIN
      ? []
      : [{ patch, sun: of.sun / of.minutes, weight: of.weight / of.minutes, minutes: of.minutes }],
  );
  return { votes, minutes, clearMin };
}
