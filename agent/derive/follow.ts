/**
 * Everything that follows from a station's readings: day totals, gaps, outages, rolling means. One running state a
 * station; instants, record, settings and what is likely ahead come from outside.
 */
import { civilDayOf } from '#energy/civil-day';
import { sunEvents } from '#energy/laws/sun-events';
import { sunPosition } from '#energy/laws/sun-position';
import type { InputSource, Reading } from '#kit';
import type { CounterEnd, CountersTold } from './counted.ts';
import { createCounters } from './counters.ts';
import { panelsRatedW, type StationFacts } from './facts.ts';
import { attributed, solarPowerW, sourceOf } from './input-source.ts';
import { watchKnown, withoutPromise } from './known-now.ts';
import { createMinutes, type Minutes, type Window } from './minutes.ts';
import { followOutage, NO_OUTAGE, type OpenOutage, type OutageState, promised } from './outage.ts';
import type { Ahead } from './outlook.ts';
import { createTally, type DayAddition, type Gap, type Tally } from './tally.ts';
import { type Told, toldOf } from './told.ts';

/** Where the record left off. */
export interface Resume {
  /** Instant from which the next reading ends a gap. */
  at: number | null;
  /** The last reading on record: its state of charge and mains go on until told otherwise. */
  latest: Reading | null;
  openOutage: OpenOutage | null;
  /** Where its own counters stood; none where it has none. */
  counters?: readonly CounterEnd[];
}

/** What one reading adds to the record. */
export interface Followed extends CountersTold {
  /** As it is kept: with the source of its input settled. */
  reading: Reading;
  days: DayAddition[];
  gap: Gap | null;
  outage: OpenOutage | null;
  /** For whoever looks ahead. */
  told: Told;
}

export interface ProjectionNow extends Ahead {
  windows: Window[];
  sunUntilAt: number | null;
}

export interface Follower {
  add(reading: Reading): Followed;
  /** Counters alone: a reading that is on record already and ends what was added. */
  countTo(reading: Reading): CountersTold;
  /** A minute of the past, from the record, before the first reading. */
  recall(atMs: number, values: Parameters<Minutes['add']>[1]): void;
  /** What is told at that moment. @param whole the newest that is known of what is ahead */
  project(atMs: number, whole: Ahead): ProjectionNow;
  /** Energy of the last hour as far as it was recorded, and how much the state of charge moved in it. */
  lastHour(atMs: number): { inputWh: number; outputWh: number; stateOfChargeChangePct: number | null };
  facts(): StationFacts;
  /** What followed the saved instant could not be kept: the next reading ends a gap that began there. */
  restart(savedAt: number | null, counters: readonly CounterEnd[]): void;
  setFacts(facts: StationFacts): void;
}

export function createFollower(initial: StationFacts, resume: Resume): Follower {
  let facts = initial;
  let tally: Tally = createTally(facts.intervalMs, resume.at);
  let counters = createCounters(resume.counters ?? [], resume.at);
  const wasOnMains = resume.latest?.states.onMains;
  let outages: OutageState = {
    ...NO_OUTAGE,
    onMains: typeof wasOnMains === 'boolean' ? wasOnMains : null,
    open: resume.openOutage,
  };
  let latest = resume.latest;
  let source: InputSource = latest?.states.inputSource ?? 'unknown';
  const minutes = createMinutes();
  const known = watchKnown();

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
        panelsRatedW: panelsRatedW(facts),
      };
      const solarW = solarPowerW(reading, context);
      const { days, gap, outputMilliJ, inputMilliJ } = tally.add(reading, solarW, facts.zone);
      const followed = followOutage(outages, reading, { outputMilliJ, inputMilliJ }, facts.floorPct);
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
      known.see(latest);
      const told = toldOf(latest, solarW, source);
      return { reading: latest, days, gap, outage: followed.record, told, ...counters.add(latest, solarW, facts) };
    },
    countTo: reading => counters.add(reading, null, facts),
    recall: minutes.add,
    project(atMs, whole) {
      const lacks = known.lacks(atMs);
      const ahead = lacks === null ? whole : withoutPromise(whole, lacks);
      outages = promised(outages, ahead);
      return { ...ahead, windows: minutes.windows(atMs), sunUntilAt: sunsetAfter(atMs, facts, minutes) };
    },
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
    restart(savedAt, ends) {
      tally = createTally(facts.intervalMs, savedAt);
      counters = createCounters(ends, savedAt);
    },
    setFacts(next) {
      if (next.intervalMs !== facts.intervalMs) tally = createTally(next.intervalMs, latest?.at ?? resume.at);
      facts = next;
    },
  };
}

/** Today's sunset, where the sun gave something in the last hour. */
function sunsetAfter(atMs: number, facts: StationFacts, minutes: Minutes): number | null {
  if (facts.place === null || (minutes.means(atMs, 60)?.solarW ?? 0) <= 0) return null;
  const { endMs } = civilDayOf(atMs, facts.zone);
  const { events } = sunEvents(atMs, endMs, facts.place.latitudeDeg, facts.place.longitudeDeg);
  return events.find(e => e.kind === 'sunset')?.at ?? null;
}
