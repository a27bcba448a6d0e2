/**
 * Joint courses of load, sun and battery, followed minute by minute until the floor is crossed, the outlets stop or it
 * is full (first passage over seeded paths). Energies in Wh of the label, as the gauge counts them.
 */
import { type Chance, createChance } from '../chance.ts';
import { type EnergyMap, energyAt } from '../energy-map.ts';
import type { GaugePlace } from '../gauge.ts';
import type { GaugeBelief, GaugeSpan } from '../gauge-belief.ts';
import { cholesky } from '../linear-belief.ts';
import { createPoints } from '../low-discrepancy.ts';
import { normalQuantile } from '../normal.ts';
import { student4Quantile } from '../student-quantile.ts';
import { type ChargerInput, type Flow, flowOf, tapersOf, type Worth } from './charging.ts';
import * as at from './course-walk.ts';
import { acceptEasily, createWalk, type Fan, standStill, walkOn } from './course-walk.ts';
import type { DrawLoad } from './load-paths.ts';
import { sortRising } from './rising.ts';
import type { DrawSun } from './sun-paths.ts';
import type { Taper } from './taper.ts';

export interface CoursesInput {
  place: GaugePlace;
  belief: GaugeBelief;
  /** From here down to the floor, and up to the ceiling. */
  down: GaugeSpan;
  up: GaugeSpan;
  map: EnergyMap;
  ratedWh: number;
  floorPct: number;
  cutoffPct: number;
  ceilingPct: number;
  stepMin: number;
  steps: number;
  drawLoad: DrawLoad;
  drawSun: DrawSun | null;
  charger: ChargerInput | null;
  /** Further states of charge whose passage is asked for, percent, falling. */
  marksPct: readonly number[];
  paths: number;
  /** Steps between two rows of the fan. */
  fanEvery: number;
  /** Most courses that nothing comes into have ended after so many steps; further ones are drawn for those that have not. */
  likelySteps: number;
}

/** Passage times in minutes ahead, rising; Infinity where a course never gets there. */
export interface Courses {
  floorMin: Float64Array;
  cutoffMin: Float64Array;
  fullMin: Float64Array;
  /** One a mark. */
  marksMin: Float64Array[];
  /** Label energy of every course, row by row: rows × paths, each row rising. */
  fan: Float32Array[];
  /** Lowest state of each course, label Wh, and when, min; in order of the paths. */
  lowestWh: Float64Array;
  lowestMin: Float64Array;
}

/** A stretch holds at least this share of its map. */
const LEAST_SHARE = 0.5;
/** Level, the gauge's three figures, what the stretch ahead holds, where in a percent it stands, and how uneven the floor's is. */
const DIMENSIONS = 7;
/** Unevenness of the percent one stands in and of the floor's, percent (own judgement). */
const PLACE_SD_PCT = 0.25;
/** Ticks of about a full discharge. */
const LEARNED_TICKS = 80;
/** Rising by what is left to the top may fall short of it by a rounding, Wh. */
const ROUNDING_WH = 1e-6;
const MIN_PER_H = 60;
const SEEDS = 2 ** 32;

/** @param chance for the station and the load, and `skies` for the sun: with and without sun the rest is the same */
export function followCourses(input: CoursesInput, chance: Chance, skies: Chance): Courses {
  const { paths, steps, belief } = input;
  const rows = Math.floor(steps / input.fanEvery) + 1;
  const fan: Fan = { levels: new Float32Array(rows * paths), paths, every: input.fanEvery };
  const never = () => new Float64Array(paths).fill(Number.POSITIVE_INFINITY);
  const courses: Courses = {
    floorMin: never(),
    cutoffMin: never(),
    fullMin: never(),
    marksMin: input.marksPct.map(never),
    fan: Array.from({ length: rows }, (_, row) => fan.levels.subarray(row * paths, (row + 1) * paths)),
    lowestWh: new Float64Array(paths),
    lowestMin: new Float64Array(paths),
  };
  const loads = new Float64Array(steps);
  // Where nothing ever comes in, what is taken beyond the end of a course changes nothing.
  const likely = input.drawSun === null && input.charger === null ? Math.min(steps, input.likelySteps) : steps;
  const likelyLoads = loads.subarray(0, likely);
  const ahead: Ahead = { loads, suns: new Float64Array(steps), drawn: likely, drawRest: () => undefined };
  const round: Round = { input, edges: edgesOf(input), ahead, walk: createWalk(), fan, courses };
  const root = { down: rootOf(belief, input.down), up: rootOf(belief, input.up) };
  const points = createPoints(DIMENSIONS);
  const [outCost, ownW, inWorth] = belief.mean;
  const drawTaper = tapersOf(input.charger, { outCost, ownW, inWorth }, input.ratedWh, chance);
  for (let p = 0; p < paths; p++) {
    const point = points(p);
    const drawn = { ...drawStation(input, root, point, chance), taper: drawTaper() };
    const score = student4Quantile(point[0]!);
    const seed = Math.floor(SEEDS * chance.uniform());
    input.drawLoad(createChance(seed), likelyLoads, score);
    ahead.drawRest = () => input.drawLoad(createChance(seed), loads, score);
    if (input.drawSun !== null) input.drawSun(skies, ahead.suns);
    followOne(round, drawn, p);
  }
  for (const times of [courses.floorMin, courses.cutoffMin, courses.fullMin, ...courses.marksMin]) times.sort();
  courses.fan.forEach(sortRising);
  return courses;
}

interface Drawn extends Worth {
  startWh: number;
  /** How fast the percents below and above the start go by, against the map. */
  down: number;
  up: number;
  cutoffWh: number;
  taper: Taper;
}

function drawStation(input: CoursesInput, root: Roots, point: readonly number[], chance: Chance): Omit<Drawn, 'taper'> {
  const { belief, place, map } = input;
  const perPct = input.ratedWh / 100;
  const z = point.slice(1, 5).map(normalQuantile);
  const [cost, own, worth] = [0, 1, 2].map(i => belief.mean[i]! + rowTimes(root.down, i, z)) as [
    number,
    number,
    number,
  ];
  const doubt = place.doubtPct * (2 * point[5]! - 1) + PLACE_SD_PCT * normalQuantile(point[6]!);
  // Where the outlets really stop is not known before it was seen.
  const cutoff = input.cutoffPct + (belief.ticks >= LEARNED_TICKS ? chance.normal() : 1.5 + 2 * chance.normal());
  return {
    outCost: Math.max(0.7 * belief.mean[0], cost),
    ownW: Math.max(0, own),
    inWorth: Math.max(0.5 * belief.mean[2], worth),
    startWh: perPct * energyAt(map, place.pct + doubt),
    down: paceIn(input.down, rowTimes(root.down, 3, z)),
    // Times seen a percent hold what is uneven about it.
    up: (input.charger?.sessions.length ?? 0) > 0 ? 1 : paceIn(input.up, rowTimes(root.up, 3, z)),
    cutoffWh: perPct * energyAt(map, Math.min(input.floorPct, Math.max(0, cutoff))),
  };
}

interface Roots {
  down: readonly number[];
  up: readonly number[];
}

/** Of outCost, ownW, inWorth and what a stretch holds beside its map. */
function rootOf({ covariance: c }: GaugeBelief, { covariance: added }: GaugeSpan): number[] {
  const rows = [0, 1, 2].flatMap(i => [c[3 * i]!, c[3 * i + 1]!, c[3 * i + 2]!, added[i]!]);
  return cholesky([...rows, ...added], 4);
}

const rowTimes = (root: readonly number[], row: number, z: readonly number[]): number =>
  root[4 * row]! * z[0]! + root[4 * row + 1]! * z[1]! + root[4 * row + 2]! * z[2]! + root[4 * row + 3]! * z[3]!;

/** How fast a stretch is gone through against its map: half of it more in it, and it takes half as long again. */
function paceIn({ mapPct, addedPct }: GaugeSpan, drawnPct: number): number {
  return mapPct <= 0 ? 1 : 1 / Math.max(LEAST_SHARE, 1 + (addedPct + drawnPct) / mapPct);
}

/** Mean watts a step of one course. */
interface Ahead {
  loads: Float64Array;
  suns: Float64Array;
  /** Loads are drawn up to here; `drawRest` draws all, and the same ones once more. */
  drawn: number;
  drawRest(): void;
}

/** What all courses of a refresh share, and where they are noted. */
interface Round {
  input: CoursesInput;
  edges: Edges;
  ahead: Ahead;
  walk: Float64Array;
  fan: Fan;
  courses: Courses;
}

/** Numbers of a course at its start. */
function setOut(walk: Float64Array, { stepMin, ratedWh }: CoursesInput, edges: Edges, d: Drawn, flow: Flow): void {
  walk[at.STEP_HOURS] = stepMin / MIN_PER_H;
  walk[at.RATED] = ratedWh;
  walk[at.START] = walk[at.LEVEL] = walk[at.LOWEST] = d.startWh;
  walk[at.LOWEST_STEP] = 0;
  walk[at.DOWN] = d.down;
  walk[at.UP] = d.up;
  walk[at.WORTH_HOURS] = d.inWorth * walk[at.STEP_HOURS]!;
  walk[at.GAIN] = flow.gainWh;
  walk[at.CEILING] = edges.ceilingWh;
  walk[at.EASY] = walk[at.EASY_TO] = 0;
  if (flow.most === null) acceptEasily(walk);
  takeOut(walk, d);
}

/** What goes out from now on; nothing while the outlets are stopped. */
function takeOut(walk: Float64Array, d: Drawn | null): void {
  walk[at.COST_HOURS] = d === null ? 0 : d.outCost * walk[at.STEP_HOURS]!;
  walk[at.OWN] = d === null ? 0 : d.ownW * walk[at.STEP_HOURS]!;
}

function followOne({ input, edges, ahead, walk, fan, courses: out }: Round, d: Drawn, p: number): void {
  const { stepMin, steps, charger } = input;
  const { floorWh, ceilingWh, marksWh } = edges;
  const flow = flowOf(charger, d, d.taper, input.ratedWh, stepMin, input.ceilingPct >= 100);
  if (flow.leftMin !== null) out.fullMin[p] = flow.leftMin;
  setOut(walk, input, edges, d, flow);
  let stopped = false;
  let mark = 0;
  // Nothing happens between these; the floor counts once, and then the outlets' own end.
  let lower = floorWh;
  let below = out.fullMin[p] === Number.POSITIVE_INFINITY ? ceilingWh - ROUNDING_WH : Number.POSITIVE_INFINITY;
  let step = 0;
  let until = ahead.drawn;
  while (true) {
    // While stopped only the way up is looked at: to the floor, where the outlets come back.
    walk[at.ABOVE] = stopped ? Number.NEGATIVE_INFINITY : Math.max(lower, marksWh[mark] ?? lower);
    walk[at.BELOW] = stopped ? Math.min(below, floorWh) : below;
    step = walkOn(walk, ahead.loads, ahead.suns, flow.most, fan, p, step, until);
    if (step === steps) break;
    if (step === until) {
      ahead.drawRest();
      until = steps;
      continue;
    }
    const before = walk[at.BEFORE]!;
    const level = walk[at.LEVEL]!;
    if (stopped && level > floorWh) {
      stopped = false;
      takeOut(walk, d);
    }
    if (level >= below) {
      const moved = walk[at.MOVED]!;
      const share = moved > 0 ? Math.min(1, Math.max(0, ceilingWh - before) / moved) : 0;
      out.fullMin[p] = (step + share) * stepMin + flow.restMin;
      below = Number.POSITIVE_INFINITY;
    }
    for (; mark < marksWh.length && level <= marksWh[mark]!; mark++)
      firstPassed(out.marksMin[mark]!, p, step, before, level, marksWh[mark]!, stepMin);
    if (level <= floorWh) {
      firstPassed(out.floorMin, p, step, before, level, floorWh, stepMin);
      lower = d.cutoffWh;
      if (!stopped && level <= d.cutoffWh) {
        stopped = true;
        firstPassed(out.cutoffMin, p, step, before, level, d.cutoffWh, stepMin);
        walk[at.LEVEL] = Math.max(0, Math.min(before, d.cutoffWh));
        takeOut(walk, null);
      }
    }
    step++;
    // Nothing comes in and nothing goes out: it stays so.
    if (stopped && charger === null && input.drawSun === null) break;
  }
  standStill(fan, p, step, walk[at.LEVEL]!);
  out.lowestWh[p] = walk[at.LOWEST]!;
  out.lowestMin[p] = walk[at.LOWEST_STEP]! * stepMin;
}

/** Notes when a course went below an edge for the first time. */
function firstPassed(
  times: Float64Array,
  p: number,
  step: number,
  before: number,
  after: number,
  edge: number,
  stepMin: number,
): void {
  if (times[p] === Number.POSITIVE_INFINITY) times[p] = (step + passed(before, after, edge)) * stepMin;
}

interface Edges {
  floorWh: number;
  ceilingWh: number;
  /** Falling. */
  marksWh: number[];
}

/** Label energy at the floor, the ceiling and the marks, Wh. */
function edgesOf({ map, ratedWh, floorPct, ceilingPct, marksPct }: CoursesInput): Edges {
  const at = (pct: number) => (ratedWh / 100) * energyAt(map, pct);
  return { floorWh: at(floorPct + 0.5), ceilingWh: at(ceilingPct - 0.5), marksWh: marksPct.map(at) };
}

/** Share of a step gone when a level that moved from `before` to `after` crossed `edge`. */
const passed = (before: number, after: number, edge: number): number =>
  before <= edge ? 0 : Math.min(1, (before - edge) / (before - after));
