/**
 * How long it lasts and when it is full: readings in, likely moments out. One running state a station; instants, facts
 * and the seed are arguments, so that the same readings always give the same answer.
 */
import { createChance } from '../chance.ts';
import { energyAt } from '../energy-map.ts';
import { BLIND_MS, createGauge, type Gauge } from '../gauge.ts';
import { freshGauge, type GaugeBelief, type GaugeMemory } from '../gauge-belief.ts';
import type { TimeRange } from '../range-repair.ts';
import { byLabel } from './by-label.ts';
import { type ChargerSource, createChargeSessions, type SessionsBySource } from './charge-sessions.ts';
import { type Courses, followCourses } from './courses.ts';
import { createForetold, type ForetoldMemory, NOTHING_FORETOLD } from './foretold.ts';
import { wholeSteps } from './level-factors.ts';
import { createLoadPaths } from './load-paths.ts';
import { createPastMinutes, type Past, type PastMinutes, recentLoadW } from './minutes.ts';
import { createRegime } from './regime.ts';
import { createSkyKnots } from './sky-knots.ts';
import { createSteadied } from './steadied.ts';
import { createSunPaths } from './sun-paths.ts';
import { type Supposed, supposedLoad, supposedSun } from './suppose.ts';

const MINUTE_MS = 60_000;
const PATHS = 300;
/** Steps of a full refresh: 48 h in minutes; a longer horizon takes longer steps. */
const STEPS = 2880;
const FAN_ROWS = 192;
/** Without a label the gauge counts in thousandths of this and learns the rest, Wh. */
const ASSUMED_WH = 1000;
/** A day's log may lack four hours. */
const DAY_LOG_MIN = 20 * 60;
/** Without a day's log nothing is said before this long and so many ticks, and what is said is early until the second pair. */
const SILENT_MIN = 20;
const SILENT_TICKS = 3;
const EARLY_MIN = 60;
const EARLY_TICKS = 8;
/** Nine of ten courses are empty by then, horizons. */
const LIKELY_SHARE = 1.3;
const LONGEST_MIN = 14 * 1440;
const LEAST_CHARGER_W = 2;
const JUMP_LASTS_MS = 30 * MINUTE_MS;
/** A late end so many times the early one says little. */
const WIDE = 4;
/** Far from any seed in use: the skies have draws of their own. */
const SKIES = 0x9e37_79b9;
/** What is foretold at a tick: when so many percent will be gone. */
const FORETOLD_PCT = [5, 10, 20, 40];

export interface RuntimeSample {
  at: number;
  /** null where the reading lacks it. */
  outputW: number | null;
  inputW: number | null;
  /** What of the input is known to be sun. */
  solarW: number | null;
  stateOfChargePct: number | null;
  acOutletsOn?: boolean | null;
  /** What the rest of the input is; unknown when absent. */
  charger?: ChargerSource;
}

/** What the owner said, and what is known of the sky, in force now. */
export interface RuntimeFacts {
  ratedWh: number | null;
  floorPct: number;
  ceilingPct: number;
  lowCutoffPct: number;
  panelsRatedW: number | null;
  solarMaxW: number | null;
  /** Clear-sky irradiance on the panels' plane, or level, W/m², at an instant; null where no sun is expected. */
  clearWm2: ((atMs: number) => number) | null;
  /** Local minus universal time, ms; absent where the clock is not known. */
  offsetMs?: ((atMs: number) => number) | undefined;
}

export type RuntimeWhy = 'ok' | 'noStateOfCharge' | 'noPower' | 'noRatedWh' | 'noHistory' | 'atFloor' | 'atFull';

export interface Outlook {
  at: number;
  why: RuntimeWhy;
  early: boolean;
  /** null unless `why` is ok, atFloor or atFull. */
  courses: Courses | null;
  stepMin: number;
  fanStepMin: number;
  /** Label energy of 1 %, Wh. */
  perPctWh: number;
  /** What makes it less sure than usual. */
  doubts: readonly Doubt[];
  /** Minutes ahead, corrected by what came true; null where `courses` is. */
  floor: TimeRange | null;
  cutoff: TimeRange | null;
  full: TimeRange | null;
  /** Minutes to the floor by the label alone, where nothing better can be said yet. */
  byLabel: TimeRange | null;
}

/** Why a range is to be taken with more care: the gauge was blind or corrected, the load is unlike anything before, the range is wide. */
export type Doubt = 'gap' | 'jump' | 'newRegime' | 'wide';

export interface ProjectOptions {
  /** The wall is there, and the question is "if it failed now". */
  withoutCharger?: boolean;
  /** The owner types numbers now and then: they are taken to go on, and what is said is early. */
  typed?: boolean;
  seed?: number;
  /** Another load, further input, a sky set by hand. */
  suppose?: Supposed;
}

/** What outlives a run of the agent, for one station. */
export interface RuntimeMemory {
  ratedWh: number | null;
  gauge: GaugeMemory;
  foretold: ForetoldMemory;
  sessions: SessionsBySource;
}

export interface RuntimeEngine {
  add(sample: RuntimeSample): void;
  project(at: number, facts: RuntimeFacts, options?: ProjectOptions): Outlook;
  gauge: Gauge;
  past(): Past;
  /** "Of the last `of` ranges, `held` came true." */
  score(): { held: number; of: number };
  memory(): RuntimeMemory;
}

/**
 * @param memory what an earlier run of the same station learned; dropped where its label is another
 * @param past the minutes before, where they are known
 */
export function createRuntimeEngine(
  ratedWh: number | null,
  memory?: RuntimeMemory | null,
  past: PastMinutes = createPastMinutes(),
): RuntimeEngine {
  const kept = memory?.ratedWh === ratedWh ? memory : undefined;
  const perPctWh = (ratedWh ?? ASSUMED_WH) / 100;
  const gauge = createGauge(100 * perPctWh, kept?.gauge ?? freshGauge(ratedWh !== null));
  const foretold = createForetold(kept?.foretold ?? NOTHING_FORETOLD);
  const sessions = createChargeSessions(kept?.sessions ?? {});
  const charger = createChargerMean();
  const rested = createRested();
  const regime = createRegime();
  const steadied = createSteadied();
  const knots = createSkyKnots();
  let firstPctAt: number | null = null;
  let lastAt: number | null = null;
  let blindAt: number | null = null;
  let foretoldTicks = 0;

  return {
    gauge,
    past: past.read,
    score: foretold.score,
    memory: () => ({ ratedWh, gauge: gauge.memory(), foretold: foretold.memory(), sessions: sessions.memory() }),
    add(sample) {
      past.add(sample.at, sample.outputW, sample.solarW);
      regime.see(past.read());
      charger.add(sample);
      const { stateOfChargePct: pct } = sample;
      if (pct === null) return;
      if (lastAt !== null && sample.at - lastAt > BLIND_MS) {
        blindAt = sample.at;
        foretold.drop();
      }
      lastAt = sample.at;
      firstPctAt ??= sample.at;
      gauge.add(sample);
      foretold.see(sample.at, pct);
      sessions.see(sample.at, pct, charger.powerW() < LEAST_CHARGER_W ? null : charger.source(), charger.restW());
      rested.see(sample.at, pct === 99 && gauge.place()!.pct >= 99.5);
    },
    project(at, facts, options = {}) {
      const place = gauge.place();
      const now = past.read();
      if (place === null || firstPctAt === null) return silent(at, 'noStateOfCharge', perPctWh);
      if (now.count === 0) return silent(at, 'noPower', perPctWh);
      const leftWh = perPctWh * (energyAt(gauge.map(), place.pct) - energyAt(gauge.map(), facts.floorPct + 0.5));
      const knownMin = (at - firstPctAt) / MINUTE_MS;
      if (ratedWh === null && gauge.belief().ticks < SILENT_TICKS) return silent(at, 'noRatedWh', perPctWh);
      const hasLog = Math.min(now.count, 1440) >= DAY_LOG_MIN;
      if (!hasLog && options.typed !== true && (knownMin < SILENT_MIN || gauge.ticks() < SILENT_TICKS))
        return {
          ...silent(at, 'noHistory', perPctWh),
          byLabel: ratedWh === null ? null : byLabel(leftWh, recentLoadW(now, 60)),
        };

      const belief = gauge.belief();
      const { suppose, seed = 1 } = options;
      const ticked = suppose === undefined && gauge.ticks() > foretoldTicks;
      const marksPct = ticked ? FORETOLD_PCT.map(gone => place.pct - gone).filter(pct => pct > 1) : [];
      const chargerW = options.withoutCharger === true ? 0 : charger.powerW();
      const gainsW = belief.mean[2] * chargerW - belief.mean[0] * recentLoadW(now, 10) - belief.mean[1];
      // While it charges the end is near and wanted to the minute.
      const span = spanOf(now, belief, gainsW > 0 ? 0 : perPctWh * energyAt(gauge.map(), place.pct), suppose);
      const nowMinute = Math.floor(at / MINUTE_MS);
      const sinceMinute = options.typed === true ? now.minutes[now.count - 1]! : regime.since();
      const { clearWm2 } = facts;
      const drawSun =
        clearWm2 === null
          ? null
          : createSunPaths(now, {
              nowMinute,
              stepMin: span.stepMin,
              steps: span.steps,
              clearWm2: minute => clearWm2(minute * MINUTE_MS),
              knotWm2: knots.over(clearWm2),
              panelsRatedW: facts.panelsRatedW,
              limitW: facts.solarMaxW,
              clearness: suppose?.clearness,
            });
      const offsetMin = facts.offsetMs === undefined ? null : facts.offsetMs(at) / MINUTE_MS;
      const lastedMin = sinceMinute === null || options.typed === true ? null : nowMinute - sinceMinute + 1;
      const loadOptions = { ...span, nowMinute, sinceMinute: sinceMinute ?? 0, lastedMin, offsetMin };
      const drawLoad = createLoadPaths(suppose?.past ?? now, loadOptions)!;
      const courses = followCourses(
        {
          place,
          belief,
          down: gauge.between(place.pct, facts.floorPct + 0.5),
          up: gauge.between(facts.ceilingPct - 0.5, place.pct),
          map: gauge.map(),
          ratedWh: 100 * perPctWh,
          floorPct: facts.floorPct,
          cutoffPct: facts.lowCutoffPct,
          ceilingPct: facts.ceilingPct,
          stepMin: span.stepMin,
          steps: span.steps,
          drawLoad: suppose === undefined ? drawLoad : supposedLoad(suppose, span.stepMin, drawLoad, seed),
          drawSun: suppose === undefined ? drawSun : supposedSun(suppose, span.stepMin, drawSun),
          charger:
            chargerW < LEAST_CHARGER_W
              ? null
              : {
                  powerW: chargerW,
                  fullW: charger.fullW(),
                  loadW: recentLoadW(now, 10),
                  sessions: sessions.of(charger.source()),
                  minutes: sessions.running(),
                  powers: sessions.powers(),
                  restedMin: rested.minutes(),
                },
          marksPct,
          paths: suppose?.paths ?? PATHS,
          fanEvery: span.fanEvery,
          likelySteps: suppose === undefined ? wholeSteps((LIKELY_SHARE * span.horizonMin) / span.stepMin) : span.steps,
        },
        createChance(seed),
        createChance(seed + SKIES),
      );
      const repaired = (times: Float64Array) => foretold.repaired(rangeOf(times));
      const raw = repaired(courses.floorMin);
      const key = JSON.stringify([facts, sinceMinute, blindAt, gauge.jumpedAt(), options.withoutCharger, suppose]);
      const floor = suppose === undefined ? steadied.of(at, key, raw) : raw;
      if (ticked) {
        foretoldTicks = gauge.ticks();
        const shown = Math.round(place.pct + 0.01);
        courses.marksMin.forEach((times, i) => {
          foretold.foretell(at, shown, Math.floor(marksPct[i]!), repaired(times));
        });
      }
      const doubts: Doubt[] = [];
      if (blindAt !== null && place.doubtPct > 0) doubts.push('gap');
      const jumpedAt = gauge.jumpedAt();
      if (jumpedAt !== null && at - jumpedAt < JUMP_LASTS_MS) doubts.push('jump');
      if (sinceMinute !== null && options.typed !== true) doubts.push('newRegime');
      if (Number.isFinite(floor.p50) && floor.p90 > WIDE * floor.p10) doubts.push('wide');
      return {
        at,
        why: place.pct <= facts.floorPct + 0.5 ? 'atFloor' : place.pct >= facts.ceilingPct - 0.5 ? 'atFull' : 'ok',
        early: options.typed === true || (!hasLog && (knownMin < EARLY_MIN || gauge.ticks() < EARLY_TICKS)),
        courses,
        stepMin: span.stepMin,
        fanStepMin: span.stepMin * span.fanEvery,
        perPctWh,
        doubts,
        floor,
        cutoff: repaired(courses.cutoffMin),
        full: rangeOf(courses.fullMin),
        byLabel: null,
      };
    },
  };
}

function silent(at: number, why: RuntimeWhy, perPctWh: number): Outlook {
  return {
    at,
    why,
    early: true,
    courses: null,
    stepMin: 1,
    fanStepMin: 1,
    perPctWh,
    doubts: [],
    floor: null,
    cutoff: null,
    full: null,
    byLabel: null,
  };
}

/** Steps of a projection: two days at least, further where empty is further; the same whatever the floor. */
function spanOf(past: Past, belief: GaugeBelief, leftWh: number, suppose?: Supposed) {
  const horizonMin = hoursLeft(past, belief, leftWh) * 60;
  const spanMin = Math.min(LONGEST_MIN, Math.max(STEPS, 3.5 * horizonMin, suppose?.leastMin ?? 0));
  const stepMin = Math.ceil(spanMin / (suppose?.steps ?? STEPS));
  const steps = Math.ceil(spanMin / stepMin);
  return { horizonMin, stepMin, steps, fanEvery: Math.max(1, Math.ceil(steps / FAN_ROWS)) };
}

/** Input that is not the sun: a mean that forgets within five minutes, and its highest in this charge. */
function createChargerMean() {
  let powerW = 0;
  let fullW = 0;
  let restW = 0;
  let source: ChargerSource = 'unknown';
  let at: number | null = null;
  return {
    powerW: () => powerW,
    /** Of the last reading. */
    restW: () => restW,
    fullW: () => Math.max(powerW, fullW),
    source: () => source,
    add(sample: RuntimeSample) {
      source = sample.charger ?? 'unknown';
      restW = Math.max(0, (sample.inputW ?? 0) - (sample.solarW ?? 0));
      const share = at === null ? 1 : 1 - Math.exp(-(sample.at - at) / (5 * MINUTE_MS));
      powerW += share * (restW - powerW);
      fullW = powerW < LEAST_CHARGER_W ? 0 : Math.max(fullW, powerW);
      at = sample.at;
    },
  };
}

/** Minutes since what was charged would make 100 %, while 99 is still shown. */
function createRested() {
  let since: number | null = null;
  let minutes = 0;
  return {
    minutes: () => minutes,
    see(at: number, atTop: boolean): void {
      since = atTop ? (since ?? at) : null;
      minutes = since === null ? 0 : (at - since) / MINUTE_MS;
    },
  };
}

/** Hours to empty under the mean load of the past, looking back as far as ahead, an hour at least. */
function hoursLeft(past: Past, belief: GaugeBelief, leftWh: number): number {
  const hours = (loadW: number) => Math.max(0, leftWh) / (belief.mean[0] * loadW + Math.max(1, belief.mean[1]));
  const first = hours(recentLoadW(past, 60));
  return hours(recentLoadW(past, Math.max(60, first * 60)));
}

/** Quantile of passage times in rising order. */
export function quantileOf(times: ArrayLike<number>, p: number): number {
  const n = times.length;
  return times[Math.min(n - 1, Math.max(0, Math.round(p * n - 0.5)))]!;
}

const rangeOf = (times: Float64Array): TimeRange => ({
  p10: quantileOf(times, 0.1),
  p50: quantileOf(times, 0.5),
  p90: quantileOf(times, 0.9),
});
