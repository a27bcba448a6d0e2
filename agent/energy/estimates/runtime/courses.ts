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
import type { DrawLoad } from './load-paths.ts';
import { type ChargeMinutes, type ChargeSession, seenTapers } from './seen-taper.ts';
import type { DrawSun } from './sun-paths.ts';
import { type Taper, unknownTapers } from './taper.ts';

/** Steady input that is not the sun. */
export interface ChargerInput {
  /** W: of the last five minutes, and at its highest in this charge. */
  powerW: number;
  fullW: number;
  /** What it carries meanwhile, W. */
  loadW: number;
  /** Full charges seen from its source. */
  sessions: readonly ChargeSession[];
  /** Of the charge that runs: minutes and mean power of each percent, and minutes where 100 % could be shown. */
  minutes: ChargeMinutes | null;
  powers: readonly { pct: number; powerW: number }[];
  restedMin: number;
}

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
/** Most a nearly full pack takes, shares of the label an hour: at 90 % and at 100 %, from the measured charge. */
const ACCEPT_AT_90 = 0.69;
const ACCEPT_AT_100 = 0.1;
const FALLS_FROM = 0.9;
/** Rising by what is left to the top may fall short of it by a rounding, Wh. */
const ROUNDING_WH = 1e-6;
const MIN_PER_H = 60;
const SEEDS = 2 ** 32;
const NO_TAPER: Taper = { share: () => 1, restMin: 0 };

/** @param chance for the station and the load, and `skies` for the sun: with and without sun the rest is the same */
export function followCourses(input: CoursesInput, chance: Chance, skies: Chance): Courses {
  const { paths, steps, fanEvery } = input;
  const rows = Math.floor(steps / fanEvery) + 1;
  const courses: Courses = {
    floorMin: new Float64Array(paths).fill(Number.POSITIVE_INFINITY),
    cutoffMin: new Float64Array(paths).fill(Number.POSITIVE_INFINITY),
    fullMin: new Float64Array(paths).fill(Number.POSITIVE_INFINITY),
    marksMin: input.marksPct.map(() => new Float64Array(paths).fill(Number.POSITIVE_INFINITY)),
    fan: Array.from({ length: rows }, () => new Float32Array(paths)),
    lowestWh: new Float64Array(paths),
    lowestMin: new Float64Array(paths),
  };
  const ahead: Ahead = {
    loads: new Float64Array(steps),
    suns: new Float64Array(steps),
    drawn: steps,
    drawRest: () => undefined,
  };
  // Where nothing ever comes in, what is taken beyond the end of a course changes nothing.
  const likely = input.drawSun === null && input.charger === null ? Math.min(steps, input.likelySteps) : steps;
  const edges = edgesOf(input);
  const root = { down: rootOf(input.belief, input.down), up: rootOf(input.belief, input.up) };
  const points = createPoints(DIMENSIONS);
  const drawTaper = input.charger === null ? () => NO_TAPER : tapersOf(input, input.charger, chance);
  for (let p = 0; p < paths; p++) {
    const point = points(p);
    const drawn = { ...drawStation(input, root, point, chance), taper: drawTaper() };
    const score = student4Quantile(point[0]!);
    const seed = Math.floor(SEEDS * chance.uniform());
    const draw = (until: number) => input.drawLoad(createChance(seed), ahead.loads.subarray(0, until), score);
    draw(likely);
    ahead.drawn = likely;
    ahead.drawRest = () => draw(steps);
    if (input.drawSun !== null) input.drawSun(skies, ahead.suns);
    followOne(input, edges, drawn, ahead, courses, p);
  }
  for (const times of [courses.floorMin, courses.cutoffMin, courses.fullMin, ...courses.marksMin, ...courses.fan])
    times.sort();
  return courses;
}

interface Drawn {
  outCost: number;
  ownW: number;
  inWorth: number;
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

/** Tapers as this source has shown them, or as they are usual; either held against how this charge goes. */
function tapersOf({ belief: { mean }, ratedWh }: CoursesInput, charger: ChargerInput, chance: Chance): () => Taper {
  const { fullW, loadW, sessions, minutes, powers, restedMin } = charger;
  if (sessions.length > 0) return seenTapers(chance, sessions, minutes);
  const into = (watts: number) => mean[2] * watts - mean[0] * loadW - mean[1];
  const full = into(fullW);
  if (full <= 0) return () => NO_TAPER;
  const shares = powers.map(({ pct, powerW }) => ({ pct, share: Math.min(1, Math.max(0, into(powerW) / full)) }));
  const usualMin = (ratedWh / 100 / full) * MIN_PER_H;
  return unknownTapers(chance, { shares, restedMin, usualMin, besides: -into(0) / full });
}

/** Steady input as a course takes it; null where there is none. */
function chargingOf({ charger, ceilingPct }: CoursesInput, d: Drawn) {
  if (charger === null || charger.powerW <= 0) return null;
  // What goes into the battery falls near full, not what the load takes.
  const loadDrainW = d.outCost * charger.loadW + d.ownW;
  const intoW = Math.max(0, d.inWorth * charger.fullW - loadDrainW);
  const toTop = ceilingPct >= 100;
  return {
    intoW,
    gainW: intoW + loadDrainW,
    restMin: toTop ? d.taper.restMin : 0,
    leftMin: toTop ? (d.taper.leftMin ?? null) : null,
  };
}

/** Mean watts a step of one course. */
interface Ahead {
  loads: Float64Array;
  suns: Float64Array;
  /** Loads are drawn up to here; `drawRest` draws all, and the same ones once more. */
  drawn: number;
  drawRest(): void;
}

/** What each step takes and brings, Wh of the label. */
interface Flow {
  costHours: number;
  ownWh: number;
  worthHours: number;
  gainWh: number;
  /** So much goes in at any level up to `easyTo`; beyond either there is a most. */
  easyWh: number;
  easyTo: number;
  /** Of a charger: at full power, and how it falls; null without one, when the pack alone says what it takes. */
  intoWh: number;
  taper: Taper | null;
  /** The level asked for last and what goes in there: a level that stays, as a full one does, is asked for once. */
  askedAt: number;
  mostWh: number;
  /** Minutes from the top until it says full; in all, where those are known. */
  restMin: number;
  leftMin: number | null;
  /** Nothing ever comes in. */
  ends: boolean;
}

function flowOf(input: CoursesInput, d: Drawn): Flow {
  const charging = chargingOf(input, d);
  const { stepMin, ratedWh } = input;
  const hours = stepMin / MIN_PER_H;
  const intoWh = (charging?.intoW ?? 0) * hours;
  const charges = intoWh > 0;
  return {
    costHours: d.outCost * hours,
    ownWh: d.ownW * hours,
    worthHours: d.inWorth * hours,
    gainWh: charges ? charging!.gainW * hours : 0,
    easyWh: charges ? 0 : hours * acceptedW(0, ratedWh),
    easyTo: charges ? 0 : FALLS_FROM * ratedWh,
    intoWh,
    taper: charges ? d.taper : null,
    askedAt: Number.NaN,
    mostWh: 0,
    restMin: charging?.restMin ?? 0,
    leftMin: charging?.leftMin ?? null,
    ends: charging === null && input.drawSun === null,
  };
}

/** Most that goes in in a step at a level, Wh. */
function mostAt(flow: Flow, level: number, { stepMin, ratedWh }: CoursesInput): number {
  if (flow.taper === null) return (stepMin / MIN_PER_H) * acceptedW(level / ratedWh, ratedWh);
  if (level !== flow.askedAt) {
    flow.askedAt = level;
    flow.mostWh = flow.intoWh * flow.taper.share((100 * level) / ratedWh);
  }
  return flow.mostWh;
}

function followOne(input: CoursesInput, edges: Edges, d: Drawn, ahead: Ahead, out: Courses, p: number): void {
  const { stepMin, steps, fanEvery } = input;
  const { floorWh, ceilingWh, marksWh } = edges;
  const { loads, suns, drawn } = ahead;
  const flow = flowOf(input, d);
  if (flow.leftMin !== null) out.fullMin[p] = flow.leftMin;
  const { costHours, ownWh, worthHours, gainWh, easyWh, easyTo, restMin, ends } = flow;
  const { startWh, up, down, cutoffWh } = d;
  let level = startWh;
  let lowest = level;
  let lowestStep = 0;
  let stopped = false;
  let mark = 0;
  // Nothing happens between these; the floor counts once, and then the outlets' own end.
  let lower = floorWh;
  let above = Math.max(lower, marksWh[0] ?? lower);
  let below = out.fullMin[p] === Number.POSITIVE_INFINITY ? ceilingWh - ROUNDING_WH : Number.POSITIVE_INFINITY;
  let row = 0;
  let nextRow = 0;
  for (let i = 0; i < steps; i++) {
    if (i === nextRow) {
      out.fan[row++]![p] = level;
      nextRow += fanEvery;
    }
    if (i === drawn) ahead.drawRest();
    const before = level;
    let moved = (stopped ? 0 : -(costHours * loads[i]! + ownWh)) + worthHours * suns[i]! + gainWh;
    if (moved > 0) {
      const room = ceilingWh - level;
      if (room > 0) {
        if (moved > easyWh || level > easyTo) moved = Math.min(moved, mostAt(flow, level, input));
        moved *= level >= startWh ? up : down;
        level += Math.min(moved, room);
      }
    } else {
      level += moved * (level > startWh ? up : down);
      if (level < lowest) {
        lowest = level;
        lowestStep = i + 1;
      }
    }
    if (stopped) {
      if (level > floorWh) stopped = false;
      // Nothing comes in and nothing goes out: it stays so.
      else if (ends) break;
    }
    if (level > above && level < below) continue;
    if (level >= below) {
      out.fullMin[p] = (i + (moved > 0 ? Math.min(1, Math.max(0, ceilingWh - before) / moved) : 0)) * stepMin + restMin;
      below = Number.POSITIVE_INFINITY;
    }
    for (; mark < marksWh.length && level <= marksWh[mark]!; mark++)
      firstPassed(out.marksMin[mark]!, p, i, before, level, marksWh[mark]!, stepMin);
    if (level <= floorWh) {
      firstPassed(out.floorMin, p, i, before, level, floorWh, stepMin);
      lower = cutoffWh;
      if (!stopped && level <= cutoffWh) {
        stopped = true;
        firstPassed(out.cutoffMin, p, i, before, level, cutoffWh, stepMin);
        level = Math.max(0, Math.min(before, cutoffWh));
      }
    }
    above = Math.max(lower, marksWh[mark] ?? lower);
  }
  for (; row < out.fan.length; row++) out.fan[row]![p] = level;
  out.lowestWh[p] = lowest;
  out.lowestMin[p] = lowestStep * stepMin;
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

/** Most the pack takes at a share of its label, W of the label. */
function acceptedW(share: number, ratedWh: number): number {
  const into = Math.min(1, Math.max(0, (share - FALLS_FROM) / 0.1));
  return ratedWh * (ACCEPT_AT_90 - into * (ACCEPT_AT_90 - ACCEPT_AT_100));
}
