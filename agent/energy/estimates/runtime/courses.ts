/**
 * Joint courses of load, sun and battery, followed minute by minute until the floor is crossed, the outlets stop or it
 * is full (first passage over seeded paths). Energies in Wh of the label, as the gauge counts them.
 */
import type { Chance } from '../chance.ts';
import { type EnergyMap, energyAt } from '../energy-map.ts';
import type { GaugeBelief, GaugePlace } from '../gauge.ts';
import { createPoints } from '../low-discrepancy.ts';
import { normalQuantile } from '../normal.ts';
import { student4Quantile } from '../student-quantile.ts';
import type { DrawLoad } from './load-paths.ts';
import type { DrawSun } from './sun-paths.ts';
import { type ChargeSession, drawTaper, type Taper } from './taper.ts';

export interface CoursesInput {
  place: GaugePlace;
  belief: GaugeBelief;
  map: EnergyMap;
  ratedWh: number;
  floorPct: number;
  cutoffPct: number;
  ceilingPct: number;
  stepMin: number;
  steps: number;
  drawLoad: DrawLoad;
  drawSun: DrawSun | null;
  /**
   * Steady input that is not the sun, W: of the last five minutes, of the last one, and at its highest in this charge; the load it carries meanwhile, and full
   * charges seen from its source.
   */
  charger: { powerW: number; nowW: number; fullW: number; loadW: number; sessions: readonly ChargeSession[] } | null;
  /** Further states of charge whose passage is asked for, percent, falling. */
  marksPct: readonly number[];
  paths: number;
  /** Steps between two rows of the fan. */
  fanEvery: number;
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

/** Spread of the energy between here and the floor of a station never seen discharged, and of one that was. */
const ENERGY_SPREAD = 0.04;
const ENERGY_SPREAD_LEARNED = 0.025;
/** Level, the gauge's three figures, what a percent holds, where in a percent it stands, and how uneven the floor's is. */
const DIMENSIONS = 7;
/** Unevenness of the percent one stands in and of the floor's, percent (own judgement). */
const PLACE_SD_PCT = 0.25;
/** Ticks of about a full discharge. */
const LEARNED_TICKS = 80;
/** Most a nearly full pack takes, shares of the label an hour: at 90 % and at 100 %, from the measured charge. */
const ACCEPT_AT_90 = 0.69;
const ACCEPT_AT_100 = 0.1;
const MIN_PER_H = 60;
const TAPERS_TRIED = 8;
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
  const loads = new Float64Array(steps);
  const suns = new Float64Array(steps);
  const root = cholesky(input.belief.covariance);
  const points = createPoints(DIMENSIONS);
  for (let p = 0; p < paths; p++) {
    const point = points(p);
    const drawn = drawStation(input, root, point, chance);
    input.drawLoad(chance, loads, student4Quantile(point[0]!));
    if (input.drawSun !== null) input.drawSun(skies, suns);
    followOne(input, drawn, loads, suns, courses, p);
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
  cutoffWh: number;
  taper: Taper;
}

function drawStation(input: CoursesInput, root: readonly number[], point: readonly number[], chance: Chance): Drawn {
  const { belief, place, map } = input;
  const perPct = input.ratedWh / 100;
  const [z0, z1, z2, z3] = point.slice(1, 5).map(normalQuantile) as [number, number, number, number];
  const spread = belief.ticks >= LEARNED_TICKS ? ENERGY_SPREAD_LEARNED : ENERGY_SPREAD;
  // What a percent holds differs along the gauge: all that is drawn or stored counts more, or less, in it.
  const scale = Math.exp(-spread * z3);
  const doubt = place.doubtPct * (2 * point[5]! - 1) + PLACE_SD_PCT * normalQuantile(point[6]!);
  // Where the outlets really stop is not known before it was seen.
  const cutoff = input.cutoffPct + (belief.ticks >= LEARNED_TICKS ? chance.normal() : 1.5 + 2 * chance.normal());
  return {
    outCost: scale * Math.max(0.7 * belief.mean[0], belief.mean[0] + root[0]! * z0),
    ownW: scale * Math.max(0, belief.mean[1] + root[3]! * z0 + root[4]! * z1),
    inWorth: scale * Math.max(0.5 * belief.mean[2], belief.mean[2] + root[6]! * z0 + root[7]! * z1 + root[8]! * z2),
    startWh: perPct * energyAt(map, place.pct + doubt),
    cutoffWh: perPct * energyAt(map, Math.min(input.floorPct, Math.max(0, cutoff))),
    taper: input.charger === null ? NO_TAPER : likelyTaper(input.charger, place.pct, belief, chance),
  };
}

/** Of some tapers the one that fits best how far the power has fallen by now. */
function likelyTaper(
  { nowW, fullW, loadW, sessions }: NonNullable<CoursesInput['charger']>,
  pct: number,
  { mean }: GaugeBelief,
  chance: Chance,
): Taper {
  const into = (watts: number) => mean[2] * watts - mean[0] * loadW - mean[1];
  const seen = into(fullW) <= 0 ? 1 : Math.min(1, Math.max(0, into(nowW) / into(fullW)));
  let best = drawTaper(chance, sessions);
  for (let i = 1; i < TAPERS_TRIED; i++) {
    const other = drawTaper(chance, sessions);
    if (Math.abs(other.share(pct) - seen) < Math.abs(best.share(pct) - seen)) best = other;
  }
  return best;
}

function followOne(
  input: CoursesInput,
  d: Drawn,
  loads: Float64Array,
  suns: Float64Array,
  out: Courses,
  p: number,
): void {
  const { stepMin, steps, fanEvery, map, ratedWh } = input;
  const hours = stepMin / MIN_PER_H;
  const perPct = ratedWh / 100;
  const floorWh = perPct * energyAt(map, input.floorPct + 0.5);
  const ceilingWh = perPct * energyAt(map, input.ceilingPct - 0.5);
  const chargerW = input.charger?.powerW ?? 0;
  // What goes into the battery falls near full, not what the load takes.
  const loadDrainW = d.outCost * (input.charger?.loadW ?? 0) + d.ownW;
  const intoFullW = Math.max(0, d.inWorth * (input.charger?.fullW ?? 0) - loadDrainW);
  const fullGainW = chargerW > 0 ? intoFullW + loadDrainW : 0;
  const restMin = chargerW > 0 && input.ceilingPct >= 100 ? d.taper.restMin : 0;
  const ends = chargerW === 0 && input.drawSun === null;
  let level = d.startWh;
  let lowest = level;
  let lowestStep = 0;
  let stopped = false;
  const marksWh = input.marksPct.map(pct => perPct * energyAt(map, pct));
  let mark = 0;
  let untilRow = 0;
  let row = 0;
  for (let i = 0; i < steps; i++) {
    if (untilRow === 0) {
      out.fan[row++]![p] = level;
      untilRow = fanEvery;
    }
    untilRow--;
    const before = level;
    let moved = stopped ? 0 : -(d.outCost * loads[i]! + d.ownW) * hours;
    if (suns[i]! > 0) moved += d.inWorth * suns[i]! * hours;
    if (fullGainW > 0) {
      moved += fullGainW * hours;
      if (moved > 0) moved = Math.min(moved, intoFullW * d.taper.share(level / perPct) * hours);
    } else if (moved > 0) moved = Math.min(moved, acceptedWh(level / ratedWh, ratedWh) * hours);
    if (moved > 0) moved = Math.min(moved, Math.max(0, ceilingWh - level));
    level += moved;
    if (level < lowest) {
      lowest = level;
      lowestStep = i + 1;
    }
    while (mark < marksWh.length && level <= marksWh[mark]!) {
      out.marksMin[mark]![p] = (i + passed(before, level, marksWh[mark]!)) * stepMin;
      mark++;
    }
    if (level <= floorWh) {
      if (out.floorMin[p] === Number.POSITIVE_INFINITY)
        out.floorMin[p] = (i + passed(before, level, floorWh)) * stepMin;
      if (!stopped && level <= d.cutoffWh) {
        stopped = true;
        if (out.cutoffMin[p] === Number.POSITIVE_INFINITY)
          out.cutoffMin[p] = (i + passed(before, level, d.cutoffWh)) * stepMin;
        level = Math.max(0, Math.min(before, d.cutoffWh));
      }
      // Nothing comes in and nothing goes out: it stays so.
      if (stopped && ends) break;
    } else {
      stopped = false;
      // Rising by what is left to the top may fall short of it by a rounding.
      if (level >= ceilingWh - 1e-6 && out.fullMin[p] === Number.POSITIVE_INFINITY)
        out.fullMin[p] = (i + 1) * stepMin + restMin;
    }
  }
  for (; row < out.fan.length; row++) out.fan[row]![p] = level;
  out.lowestWh[p] = lowest;
  out.lowestMin[p] = lowestStep * stepMin;
}

/** Share of a step gone when a level that moved from `before` to `after` crossed `edge`. */
const passed = (before: number, after: number, edge: number): number =>
  before <= edge ? 0 : Math.min(1, (before - edge) / (before - after));

/** Most the pack takes at a share of its label, W of the label. */
function acceptedWh(share: number, ratedWh: number): number {
  const into = Math.min(1, Math.max(0, (share - 0.9) / 0.1));
  return ratedWh * (ACCEPT_AT_90 - into * (ACCEPT_AT_90 - ACCEPT_AT_100));
}

/** Lower triangle of a 3 × 3 covariance, row by row. */
function cholesky(c: readonly number[]): number[] {
  const l = new Array<number>(9).fill(0);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j <= i; j++) {
      let sum = c[3 * i + j]!;
      for (let k = 0; k < j; k++) sum -= l[3 * i + k]! * l[3 * j + k]!;
      l[3 * i + j] = i === j ? Math.sqrt(Math.max(1e-15, sum)) : sum / l[3 * j + j]!;
    }
  return l;
}
