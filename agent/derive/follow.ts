/**
 * Everything that follows from a station's readings: day totals, gaps, outages, rolling means and the projection. One
 * running state a station; instants, record and settings come from outside.
 */
import { civilDayOf, zoneOffsetMs } from '#energy/civil-day';
import { BATTERY_PRIOR } from '#energy/estimates/battery-prior';
import { inputAhead, SLOTS_PER_DAY } from '#energy/estimates/input-ahead';
import { LEAST_HISTORY_MIN, type Projection, project, type Window } from '#energy/estimates/rolling-projection';
import { sunEvents } from '#energy/laws/sun-events';
import { sunPosition } from '#energy/laws/sun-position';
import type { InputSource, Reading } from '#kit';
import { attributed, solarPowerW, sourceOf } from './input-source.ts';
import { createMinutes, type Minutes } from './minutes.ts';
import { followOutage, NO_OUTAGE, type OpenOutage, type OutageState } from './outage.ts';
import { createTally, type DayAddition, type Gap, type Tally } from './tally.ts';

const STEP_MS = 5 * 60_000;
const HORIZON_STEPS = (72 * 3_600_000) / STEP_MS;
const QUARTER_MS = 15 * 60_000;

/** What the owner said about a station, in force now. */
export interface StationFacts {
  intervalMs: number;
  zone: string;
  ratedWh: number | null;
  floorPct: number;
  ceilingPct: number;
  lowCutoffPct: number;
  inputSource: InputSource;
  panelsRatedW: number | null;
  /** Most the solar ports take together, W; null where not told. */
  solarMaxW: number | null;
  place: { latitudeDeg: number; longitudeDeg: number } | null;
}

/** Where the record left off. */
export interface Resume {
  /** Instant from which the next reading ends a gap. */
  at: number | null;
  /** The last reading on record: its state of charge and mains go on until told otherwise. */
  latest: Reading | null;
  openOutage: OpenOutage | null;
}

/** What one reading adds to the record. */
export interface Followed {
  /** As it is kept: with the source of its input settled. */
  reading: Reading;
  days: DayAddition[];
  gap: Gap | null;
  outage: OpenOutage | null;
}

export interface ProjectionNow extends Projection {
  madeAt: number;
  /** Distance of two values of a course, ms. */
  stepMs: number;
  onMains: boolean;
  windows: Window[];
  sunUntilAt: number | null;
}

export interface Follower {
  add(reading: Reading): Followed;
  /** A minute of the past, from the record, before the first reading. */
  recall(atMs: number, values: Parameters<Minutes['add']>[1]): void;
  /** Mean solar watts by quarter-hour of the local day over the last days; null where none was recorded. */
  setUsualSun(slotMeansW: readonly number[] | null): void;
  project(atMs: number): ProjectionNow;
  /** Energy of the last hour as far as it was recorded, and how much the state of charge moved in it. */
  lastHour(atMs: number): { inputWh: number; outputWh: number; stateOfChargeChangePct: number | null };
  facts(): StationFacts;
  /** What followed the saved instant could not be kept: the next reading ends a gap that began there. */
  restart(savedAt: number | null): void;
  setFacts(facts: StationFacts): void;
}

export function createFollower(initial: StationFacts, resume: Resume): Follower {
  let facts = initial;
  let tally: Tally = createTally(facts.intervalMs, resume.at);
  const wasOnMains = resume.latest?.states.onMains;
  let outages: OutageState = {
    ...NO_OUTAGE,
    onMains: typeof wasOnMains === 'boolean' ? wasOnMains : null,
    open: resume.openOutage,
  };
  let usualSunW: readonly number[] | null = null;
  let latest = resume.latest;
  let source: InputSource = latest?.states.inputSource ?? 'unknown';
  const minutes = createMinutes();

  const elevation = () => {
    const { place } = facts;
    if (place === null) return null;
    return (t: number) => sunPosition(t, place.latitudeDeg, place.longitudeDeg).elevationDeg;
  };

  return {
    add(reading) {
      const context = {
        owner: facts.inputSource,
        sunElevationDeg: elevation()?.(reading.at) ?? null,
        panelsRatedW: facts.panelsRatedW,
      };
      const solarW = solarPowerW(reading, context);
      const { days, gap, outputMilliJ } = tally.add(reading, solarW, facts.zone);
      const followed = followOutage(outages, reading, outputMilliJ);
      outages = followed.state;
      const { inputPowerW, outputPowerW, stateOfChargePct } = reading.quantities;
      minutes.add(reading.at, {
        inputW: inputPowerW ?? null,
        outputW: outputPowerW ?? null,
        solarW,
        pct: stateOfChargePct ?? null,
      });
      source = sourceOf(reading, context);
      latest = attributed(reading, source, solarW);
      return { reading: latest, days, gap, outage: followed.record };
    },
    recall: (atMs, values) => minutes.add(atMs, values),
    setUsualSun(slotMeansW) {
      usualSunW = slotMeansW;
    },
    project: atMs => projectNow(atMs, facts, minutes, latest, source, usualSunW, elevation()),
    lastHour(atMs) {
      const means = minutes.means(atMs, 60);
      // Between typed numbers nothing is counted.
      const hours = means === null || latest?.typed === true ? 0 : means.coverage;
      const pctNow = latest?.quantities.stateOfChargePct ?? null;
      const pctAgo = minutes.pctAgo(atMs, 60);
      return {
        inputWh: (means?.inputW ?? 0) * hours,
        outputWh: (means?.outputW ?? 0) * hours,
        stateOfChargeChangePct: pctNow === null || pctAgo === null ? null : pctNow - pctAgo,
      };
    },
    facts: () => facts,
    restart(savedAt) {
      tally = createTally(facts.intervalMs, savedAt);
    },
    setFacts(next) {
      if (next.intervalMs !== facts.intervalMs) tally = createTally(next.intervalMs, latest?.at ?? resume.at);
      facts = next;
    },
  };
}

/** The projection of the moment. On mains the charger is left out: it answers "if the power failed now". */
function projectNow(
  atMs: number,
  facts: StationFacts,
  minutes: Minutes,
  latest: Reading | null,
  source: InputSource,
  usualSunW: readonly number[] | null,
  elevationDeg: ((t: number) => number) | null,
): ProjectionNow {
  const onMains = latest?.states.onMains === true;
  const windows = minutes.windows(atMs);
  const hour = minutes.means(atMs, 60);
  const solarW = hour?.solarW ?? 0;
  const restW = Math.max(0, (hour?.inputW ?? 0) - solarW);
  // A charger goes on; input of unknown source may be sun, so it fades as the sun does.
  const lasting = source === 'wall' || source === 'vehicle' || source === 'generator';
  const offsetMs = zoneOffsetMs(atMs, facts.zone);
  const ahead = inputAhead({
    atMs,
    stepMs: STEP_MS,
    steps: HORIZON_STEPS,
    solarW: solarW + (lasting ? 0 : restW),
    otherW: onMains || !lasting ? 0 : restW,
    elevationDeg,
    slotMeansW: usualSunW,
    // One offset for the whole horizon: an hour off for a day around a clock change is within the method's error.
    slotAt: t => quarterOfLocal(t + offsetMs),
  });
  const projection = project({
    atMs,
    stateOfChargePct: latest?.quantities.stateOfChargePct ?? null,
    ratedWh: facts.ratedWh,
    floorPct: facts.floorPct,
    ceilingPct: facts.ceilingPct,
    lowCutoffPct: facts.lowCutoffPct,
    windows,
    // What the owner typed is taken to go on, and called early.
    historyMinutes: Math.max(minutes.recorded(atMs), latest?.typed === true ? LEAST_HISTORY_MIN : 0),
    inputAheadW: ahead,
    // A charger has its own port: the limit holds for the sun alone.
    inputLimitW: lasting && !onMains ? null : facts.solarMaxW,
    stepMs: STEP_MS,
    prior: BATTERY_PRIOR,
  });
  return {
    ...projection,
    madeAt: atMs,
    stepMs: STEP_MS,
    onMains,
    windows,
    sunUntilAt: sunsetAfter(atMs, facts, solarW),
  };
}

/** Quarter-hour of the day, 0-95, of an instant shifted to local time. */
const quarterOfLocal = (localMs: number): number =>
  Math.floor(((localMs % 86_400_000) + 86_400_000) / QUARTER_MS) % SLOTS_PER_DAY;

export const quarterOf = (atMs: number, zone: string): number => quarterOfLocal(atMs + zoneOffsetMs(atMs, zone));

function sunsetAfter(atMs: number, facts: StationFacts, solarW: number): number | null {
  if (facts.place === null || solarW <= 0) return null;
  const { endMs } = civilDayOf(atMs, facts.zone);
  const { events } = sunEvents(atMs, endMs, facts.place.latitudeDeg, facts.place.longitudeDeg);
  return events.find(e => e.kind === 'sunset')?.at ?? null;
}
