/**
 * How long it lasts and when it is full: readings in, likely moments out. One running state a station; instants, facts
 * and the seed are arguments, so that the same readings always give the same answer.
 */
import { createChance } from '../chance.ts';
import { energyAt, LFP_MAP } from '../energy-map.ts';
import { createGauge, type Gauge, type GaugeBelief, LABEL_BELIEF, UNLABELLED_BELIEF } from '../gauge.ts';
import { type Courses, followCourses } from './courses.ts';
import { createLoadPaths } from './load-paths.ts';
import { createPastMinutes, type Past, recentLoadW } from './minutes.ts';
import { createSunPaths } from './sun-paths.ts';
import type { ChargeSession } from './taper.ts';

const MINUTE_MS = 60_000;
const PATHS = 300;
/** Steps of a full refresh: 48 h in minutes; a longer horizon takes longer steps. */
const STEPS = 2880;
const FAN_ROWS = 192;
/** Without a label the gauge counts in thousandths of this and learns the rest, Wh. */
const ASSUMED_WH = 1000;
/** A day's log may lack four hours. */
const DAY_LOG_MIN = 20 * 60;

export interface RuntimeSample {
  at: number;
  /** null where the reading lacks it. */
  outputW: number | null;
  inputW: number | null;
  /** What of the input is known to be sun. */
  solarW: number | null;
  stateOfChargePct: number | null;
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
}

export type RuntimeWhy = 'ok' | 'noStateOfCharge' | 'noPower' | 'noHistory' | 'atFloor' | 'atFull';

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
}

export interface ProjectOptions {
  /** The wall is there, and the question is "if it failed now". */
  withoutCharger?: boolean;
  seed?: number;
  sessions?: readonly ChargeSession[];
}

export interface RuntimeEngine {
  add(sample: RuntimeSample): void;
  project(at: number, facts: RuntimeFacts, options?: ProjectOptions): Outlook;
  gauge(): Gauge | null;
  past(): Past;
}

export function createRuntimeEngine(ratedWh: number | null, belief?: GaugeBelief): RuntimeEngine {
  const perPctWh = (ratedWh ?? ASSUMED_WH) / 100;
  const gauge = createGauge(100 * perPctWh, belief ?? (ratedWh === null ? UNLABELLED_BELIEF : LABEL_BELIEF));
  const past = createPastMinutes();
  let firstPctAt: number | null = null;
  let chargerW = 0;
  let latest: RuntimeSample | null = null;

  return {
    gauge: () => gauge,
    past: past.read,
    add(sample) {
      past.add(sample.at, sample.outputW, sample.solarW);
      // A steady charger is told from the last minutes: a mean that forgets within five.
      const restW = Math.max(0, (sample.inputW ?? 0) - (sample.solarW ?? 0));
      const share = latest === null ? 1 : 1 - Math.exp(-(sample.at - latest.at) / (5 * MINUTE_MS));
      chargerW += share * (restW - chargerW);
      latest = sample;
      if (sample.stateOfChargePct === null) return;
      firstPctAt ??= sample.at;
      gauge.add(sample);
    },
    project(at, facts, options = {}) {
      const place = gauge.place();
      const now = past.read();
      const nothing = (why: RuntimeWhy): Outlook => ({
        at,
        why,
        early: true,
        courses: null,
        stepMin: 1,
        fanStepMin: 1,
        perPctWh,
      });
      if (place === null || firstPctAt === null) return nothing('noStateOfCharge');
      const nowMinute = Math.floor(at / MINUTE_MS);
      const loggedMin = Math.min(now.count, 1440);
      const knownMin = (at - firstPctAt) / MINUTE_MS;
      const hasLog = loggedMin >= DAY_LOG_MIN;
      if (!hasLog && (knownMin < 20 || gauge.ticks() < 3)) return nothing('noHistory');
      const belief = gauge.belief();
      const leftWh = perPctWh * (energyAt(LFP_MAP, place.pct) - energyAt(LFP_MAP, facts.floorPct + 0.5));
      const horizonMin = hoursLeft(now, belief, leftWh) * 60;
      const spanMin = Math.min(14 * 1440, Math.max(STEPS, 3.5 * horizonMin));
      const stepMin = Math.ceil(spanMin / STEPS);
      const steps = Math.ceil(spanMin / stepMin);
      const drawLoad = createLoadPaths(now, { nowMinute, horizonMin, sinceMinute: 0, stepMin, steps });
      if (drawLoad === null) return nothing('noPower');
      const { clearWm2 } = facts;
      const drawSun =
        clearWm2 === null
          ? null
          : createSunPaths(now, {
              nowMinute,
              stepMin,
              steps,
              clearWm2: minute => clearWm2(minute * MINUTE_MS),
              panelsRatedW: facts.panelsRatedW,
              limitW: facts.solarMaxW,
            });
      const fanEvery = Math.max(1, Math.ceil(steps / FAN_ROWS));
      const courses = followCourses(
        {
          place,
          belief,
          map: LFP_MAP,
          ratedWh: 100 * perPctWh,
          floorPct: facts.floorPct,
          cutoffPct: facts.lowCutoffPct,
          ceilingPct: facts.ceilingPct,
          stepMin,
          steps,
          drawLoad,
          drawSun,
          charger:
            options.withoutCharger === true || chargerW < 1
              ? null
              : { powerW: chargerW, sessions: options.sessions ?? [] },
          paths: PATHS,
          fanEvery,
        },
        createChance(options.seed ?? 1),
      );
      return {
        at,
        why: place.pct <= facts.floorPct + 0.5 ? 'atFloor' : place.pct >= facts.ceilingPct - 0.5 ? 'atFull' : 'ok',
        early: !hasLog && (knownMin < 60 || gauge.ticks() < 8),
        courses,
        stepMin,
        fanStepMin: stepMin * fanEvery,
        perPctWh,
      };
    },
  };
}

/** Hours to the floor under the mean load of the past, looking back as far as ahead, an hour at least. */
function hoursLeft(past: Past, belief: GaugeBelief, leftWh: number): number {
  const hours = (loadW: number) => Math.max(0, leftWh) / (belief.mean[0] * loadW + Math.max(1, belief.mean[1]));
  const first = hours(recentLoadW(past, 60));
  return hours(recentLoadW(past, Math.max(60, first * 60)));
}

/** Moment by which a share `p` of the courses got there, ms since the epoch; null past the horizon. */
export function momentOf(outlook: Outlook, minutesAhead: Float64Array, p: number): number | null {
  const n = minutesAhead.length;
  const minutes = minutesAhead[Math.min(n - 1, Math.max(0, Math.round(p * n - 0.5)))]!;
  return Number.isFinite(minutes) ? Math.round(outlook.at + minutes * MINUTE_MS) : null;
}
