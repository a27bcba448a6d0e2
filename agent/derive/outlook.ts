/**
 * What is likely ahead of one station, in instants: the runtime engine fed with readings, asked with the facts in
 * force, and its answer as moments, a fan and what was learned. On mains the question is "if the power failed now".
 */
import { zoneOffsetMs } from '#energy/civil-day';
import { chargeAt } from '#energy/estimates/energy-map';
import type { TimeRange } from '#energy/estimates/range-repair';
import {
  createRuntimeEngine,
  type Doubt,
  type Outlook,
  type ProjectOptions,
  quantileOf,
  type RuntimeEngine,
  type RuntimeFacts,
  type RuntimeMemory,
  type RuntimeWhy,
} from '#energy/estimates/runtime/engine';
import { createPastMinutes, recentLoadW } from '#energy/estimates/runtime/minutes';
import { createSteadied } from '#energy/estimates/runtime/steadied';
import { clearLightOver, usualLightOver } from './clear-light.ts';
import { panelsRatedW, type StationFacts } from './facts.ts';
import { createHabits, type Quiet } from './habits.ts';
import type { Told } from './told.ts';

const MINUTE_MS = 60_000;
const PROBABILITIES = Array.from({ length: 19 }, (_, i) => (i + 1) / 20);
export const FAN_PROBABILITIES = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95] as const;

/** UTC epoch ms; null where the moment lies past what was looked at. */
export interface Moments {
  p10: number;
  p50: number | null;
  p90: number | null;
}

/** What the gauge is worth, each with its standard deviation. */
export interface Learned {
  acWhPerPct: number;
  acWhPerPctSd: number;
  ownW: number;
  ownWSd: number;
  /** Battery watts for each watt going out, and the share of an incoming one that is stored, both by the label. */
  outCost: number;
  inWorth: number;
  ticks: number;
}

export interface Ahead {
  madeAt: number;
  toward: 'empty' | 'full' | 'steady' | 'none';
  why: RuntimeWhy;
  early: boolean;
  doubts: readonly Doubt[];
  onMains: boolean;
  emptyAt: Moments | null;
  stopsAt: Moments | null;
  fullAt: Moments | null;
  /** By the label alone, where nothing better can be said yet. */
  byLabel: Moments | null;
  leftWh: number | null;
  quantiles: { p: number; at: number | null }[];
  /** State of charge ahead, percent: one column a probability, one row each `stepMs`. */
  fan: { stepMs: number; columns: number[][] } | null;
  learned: Learned | null;
  /** What cycles and has not drawn for three of its cycles. */
  quiet: Quiet[];
  /** Where the light that is expected comes from; null where no sun is. */
  sky: 'place' | 'usualDay' | null;
  score: { held: number; of: number };
}

export interface OutlookKeeper {
  add(told: Told): void;
  /** A minute of the past, from the record. */
  recall(atMs: number, outputW: number | null, solarW: number | null): void;
  ahead(atMs: number): Ahead;
  engine(): RuntimeEngine;
  runtimeFacts(): RuntimeFacts;
  setFacts(facts: StationFacts): void;
  memory(): RuntimeMemory;
}

/** @param memory what earlier runs learned; null before the first */
export function createOutlook(initial: StationFacts, memory: RuntimeMemory | null): OutlookKeeper {
  let facts = initial;
  const past = createPastMinutes();
  let engine = createRuntimeEngine(facts.ratedWh, memory, past);
  let runtimeFacts = runtimeFactsOf(facts, false);
  let latest: Told | null = null;
  const habits = createHabits(past.read);
  const steadied = createSteadied();
  let sunSeen = false;

  /** Where no place is known the sun is expected once some was seen, or panels were told. */
  const seeSun = (solarW: number | null) => {
    if (sunSeen || solarW === null || solarW <= 0) return;
    sunSeen = true;
    runtimeFacts = runtimeFactsOf(facts, sunSeen);
  };

  /** As the engine tells it, with what is rare coming when it is due: that is told, never scored. */
  function asUsual(atMs: number, plain: Outlook, options: ProjectOptions): Outlook {
    const usual = plain.courses === null ? null : habits.usual(atMs);
    if (usual === null) return plain;
    const told = engine.project(atMs, runtimeFacts, { ...options, suppose: usual });
    if (told.floor === null) return plain;
    const key = JSON.stringify([runtimeFacts, options, told.doubts, usual.rare?.length]);
    return { ...told, floor: steadied.of(atMs, key, told.floor) };
  }

  return {
    add(told) {
      latest = told;
      seeSun(told.solarW);
      engine.add(told);
    },
    recall(atMs, outputW, solarW) {
      seeSun(solarW);
      past.add(atMs, outputW, solarW);
    },
    ahead(atMs) {
      const onMains = latest?.onMains === true;
      const typed = latest?.typed === true;
      const options = { withoutCharger: onMains, typed };
      const plain = engine.project(atMs, runtimeFacts, options);
      const outlook = asUsual(atMs, plain, options);
      const filling = onMains && outlook.courses !== null ? engine.project(atMs, runtimeFacts, { typed }) : outlook;
      return {
        ...aheadOf(outlook, filling, engine, facts, onMains),
        quiet: typed ? [] : habits.quiet(atMs, facts.named ?? []),
        sky: runtimeFacts.clearWm2 === null ? null : facts.place === null ? 'usualDay' : 'place',
      };
    },
    engine: () => engine,
    runtimeFacts: () => runtimeFacts,
    setFacts(next) {
      if (next.ratedWh !== facts.ratedWh) engine = createRuntimeEngine(next.ratedWh, null, past);
      facts = next;
      runtimeFacts = runtimeFactsOf(facts, sunSeen);
    },
    memory: () => engine.memory(),
  };
}

const runtimeFactsOf = (facts: StationFacts, sunSeen: boolean): RuntimeFacts => ({
  ratedWh: facts.ratedWh,
  floorPct: facts.floorPct,
  ceilingPct: facts.ceilingPct,
  lowCutoffPct: facts.lowCutoffPct,
  panelsRatedW: panelsRatedW(facts),
  solarMaxW: facts.solarMaxW,
  clearWm2:
    clearLightOver(facts.place, facts.panels, facts.standing) ??
    (sunSeen || panelsRatedW(facts) !== null ? usualLightOver(facts.zone) : null),
  offsetMs: atMs => zoneOffsetMs(atMs, facts.zone),
});

function aheadOf(
  outlook: Outlook,
  filling: Outlook,
  engine: RuntimeEngine,
  facts: StationFacts,
  onMains: boolean,
): Omit<Ahead, 'quiet' | 'sky'> {
  const { at, courses, floor, cutoff } = outlook;
  const full = filling.full;
  const belief = engine.gauge.belief();
  const place = engine.gauge.place();
  const toward = courses === null ? 'none' : towards(floor, full);
  const times = toward === 'full' ? filling.courses?.fullMin : courses?.floorMin;
  return {
    madeAt: at,
    toward,
    why: outlook.why,
    early: outlook.early,
    doubts: outlook.doubts,
    onMains,
    emptyAt: moments(at, floor),
    stopsAt: moments(at, cutoff),
    // What is full already has no moment ahead.
    fullAt: outlook.why === 'atFull' ? null : moments(at, full),
    byLabel: moments(at, outlook.byLabel),
    leftWh: place === null ? null : deliverableWh(engine, outlook.perPctWh, place.pct, facts.floorPct),
    quantiles: times === undefined ? [] : quantiles(at, times, toward === 'full' ? full! : floor!),
    fan: courses === null ? null : fanOf(outlook, engine),
    learned: {
      acWhPerPct: outlook.perPctWh / belief.mean[0],
      acWhPerPctSd: (outlook.perPctWh / belief.mean[0] ** 2) * Math.sqrt(belief.covariance[0]!),
      ownW: belief.mean[1],
      ownWSd: Math.sqrt(belief.covariance[4]!),
      outCost: belief.mean[0],
      inWorth: belief.mean[2],
      ticks: belief.ticks,
    },
    score: engine.score(),
  };
}

function towards(floor: TimeRange | null, full: TimeRange | null): Ahead['toward'] {
  const empty = floor?.p50 ?? Number.POSITIVE_INFINITY;
  const filled = full?.p50 ?? Number.POSITIVE_INFINITY;
  if (filled < empty) return 'full';
  // One course in ten that gets to the floor is enough to be told.
  return floor !== null && Number.isFinite(floor.p10) ? 'empty' : 'steady';
}

const momentAt = (at: number, minutes: number): number | null =>
  Number.isFinite(minutes) ? Math.round(at + minutes * MINUTE_MS) : null;

function moments(at: number, range: TimeRange | null): Moments | null {
  const p10 = range === null ? null : momentAt(at, range.p10);
  return range === null || p10 === null ? null : { p10, p50: momentAt(at, range.p50), p90: momentAt(at, range.p90) };
}

/** Moments at 5 % steps, about the middle as told, each half stretched as the range was corrected. */
function quantiles(at: number, times: Float64Array, range: TimeRange): Ahead['quantiles'] {
  const middle = quantileOf(times, 0.5);
  const stretch = (told: number, raw: number) => (raw === middle ? 1 : (told - range.p50) / (raw - middle));
  const early = stretch(range.p10, quantileOf(times, 0.1));
  const late = stretch(range.p90, quantileOf(times, 0.9));
  return PROBABILITIES.map(p => {
    const raw = quantileOf(times, p);
    const factor = p < 0.5 ? early : late;
    const minutes = Number.isFinite(raw) && Number.isFinite(factor) ? range.p50 + factor * (raw - middle) : raw;
    return { p, at: momentAt(at, Math.max(0, minutes)) };
  });
}

function fanOf(outlook: Outlook, engine: RuntimeEngine): Ahead['fan'] {
  const rows = outlook.courses!.fan;
  const map = engine.gauge.map();
  return {
    stepMs: outlook.fanStepMin * MINUTE_MS,
    columns: FAN_PROBABILITIES.map(p => rows.map(row => chargeAt(map, quantileOf(row, p) / outlook.perPctWh))),
  };
}

/** Energy above the floor that reaches what is plugged in at the load of the last hour, Wh. */
function deliverableWh(engine: RuntimeEngine, perPctWh: number, pct: number, floorPct: number): number {
  const { mean } = engine.gauge.belief();
  const { mapPct, addedPct } = engine.gauge.between(pct, floorPct);
  const loadW = Math.max(1, recentLoadW(engine.past(), 60));
  const labelWh = perPctWh * Math.max(0, mapPct + addedPct);
  return (labelWh * loadW) / (mean[0] * loadW + mean[1]);
}
