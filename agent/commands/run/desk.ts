/**
 * One station's desk: its running state, today's totals and the newest message of each kind. It turns a stamped reading
 * into what is to be saved and what the page is told.
 */
import { civilDate, civilDayOf } from '#energy/civil-day';
import { createSteadyDots } from '#energy/estimates/outlast/steady-dots';
import type { Reading } from '#kit';
import type { DayTotals, LiveMessage, RecordQueries, StationSettings, WireStatus } from '#messages';
import type { StationFacts } from '../../derive/facts.ts';
import { createFollower, type Follower, type Resume } from '../../derive/follow.ts';
import type { OutlastStation } from '../../derive/outlast.ts';
import { type DayAddition, emptyDay } from '../../derive/tally.ts';
import { learnedAsKept, learnedFrom, unitsFrom } from './learned.ts';
import { addDays, enter, type Pending } from './pending.ts';
import { isSilent, projectionMessage, readingMessage, tallyMessage } from './say.ts';
import { createUnitWatch, type UnitWatch } from './unit-watch.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
/** Days of record before the last that the engine looks back on, and how finely. */
const EARLIER_DAYS = 7;
const EARLIER_STEP_MS = 15 * MINUTE_MS;

export interface Desk {
  readonly settings: StationSettings;
  /** What comes from the station passes here before it is added. */
  readonly units: UnitWatch;
  facts(): StationFacts;
  setFacts(settings: StationSettings, facts: StationFacts): void;
  /** Takes a stamped reading: into `pending`, and as a message for the page. */
  add(reading: Reading, pending: Pending): LiveMessage;
  /** The newest reading as it is kept; null before the very first. */
  latest(): Reading | null;
  /** Whether anything was read in this run. */
  isLive(): boolean;
  /** The newest reading as a message with its age, the record's last one included; null before the very first. */
  newest(nowMs: number, monoMs: number): LiveMessage | null;
  setStatus(status: WireStatus): LiveMessage;
  status(): WireStatus | null;
  project(nowMs: number): LiveMessage;
  day(nowMs: number): LiveMessage;
  /** What Outlast asks: the engine, the facts and the names in force, and whether anything may be promised. */
  outlastStation(): OutlastStation & { silent: boolean };
  /** What was learned of the station, as it is kept. */
  learned(): string;
  /** What was pending is lost: everything since the last saved instant is a gap. */
  forgetUnsaved(savedAt: number | null): void;
}

export function openDesk(initial: StationSettings, facts: StationFacts, record: RecordQueries, nowMs: number): Desk {
  let settings = initial;
  const { id } = initial;
  let latest = record.latest(id);
  const follower = createFollower(facts, resumeOf(record, latest, id, nowMs));
  recall(follower, record, id, nowMs - (EARLIER_DAYS + 1) * DAY_MS, nowMs - DAY_MS, EARLIER_STEP_MS);
  recall(follower, record, id, nowMs - DAY_MS, nowMs, MINUTE_MS);
  const units = createUnitWatch(unitsFrom(record.learned(id)));
  const steady = createSteadyDots();
  let today: DayTotals | null = null;
  /** Whether the latest reading is of this run. */
  let live = false;
  let status: WireStatus | null = null;

  const totalsOf = (date: string): DayTotals | null => record.days(id, date, date)[0] ?? null;
  today = totalsOf(civilDate(nowMs, facts.zone));

  function count(days: readonly DayAddition[]): void {
    for (const addition of days) {
      if (today === null || today.date < addition.date) today = addition;
      else if (today.date === addition.date) today = addDays(today, addition);
    }
  }

  /** The day of an instant, empty where nothing was read since midnight. */
  const todayAt = (at: number): DayTotals => {
    const day = civilDayOf(at, follower.facts().zone);
    return today?.date === day.date ? today : emptyDay(day);
  };

  return {
    get settings() {
      return settings;
    },
    units,
    facts: () => follower.facts(),
    setFacts(next, nextFacts) {
      settings = next;
      follower.setFacts(nextFacts);
    },
    add(reading, pending) {
      const followed = follower.add(reading);
      latest = followed.reading;
      live = true;
      enter(pending, followed, follower.facts().inputSource);
      count(followed.days);
      return readingMessage(latest, 0);
    },
    latest: () => latest,
    isLive: () => live,
    newest(at, monoMs) {
      if (latest === null) return null;
      // What an earlier run read has only its wall time to tell its age by.
      return readingMessage(latest, Math.max(0, live ? monoMs - latest.monoMs : at - latest.at));
    },
    setStatus(next) {
      const asked = units.asked();
      const { key: quantity, as, was, is } = asked ?? {};
      status = asked === null ? next : { ...next, units: { quantity: quantity!, as: as!, was: was!, is: is! } };
      return { type: 'status', status };
    },
    status: () => status,
    project: at => projectionMessage(id, follower.project(at), follower.facts(), status),
    outlastStation: () => ({
      engine: follower.engine(),
      facts: follower.runtimeFacts(),
      onMains: latest?.states.onMains === true,
      typed: latest?.typed === true,
      outletsOff: latest?.states.acOutletsOn === false,
      named: settings.load,
      steady,
      silent: isSilent(status),
    }),
    learned: () => learnedAsKept(follower.learned(), latest?.at ?? nowMs, units.packed()),
    day: at => tallyMessage(id, todayAt(at), follower.lastHour(at), at),
    forgetUnsaved(savedAt) {
      follower.restart(savedAt, record.counterEnds(id));
      today = totalsOf(civilDate(savedAt ?? nowMs, follower.facts().zone));
    },
  };
}

function resumeOf(record: RecordQueries, latest: Reading | null, station: string, nowMs: number): Resume {
  const open = record.outages(station, 0, nowMs).findLast(outage => outage.endedAt === null) ?? null;
  return {
    at: latest?.at ?? null,
    latest,
    openOutage: open,
    learned: learnedFrom(record.learned(station), nowMs),
    counters: record.counterEnds(station),
  };
}

/** Fills the minutes behind from the record, so that a restart does not forget them. */
function recall(
  follower: Follower,
  record: RecordQueries,
  station: string,
  fromMs: number,
  toMs: number,
  stepMs: number,
): void {
  const quantities = ['inputPowerW', 'outputPowerW', 'solarPowerW', 'stateOfChargePct'] as const;
  // A span that does not begin on a step's boundary touches one bucket more.
  const points = Math.ceil((toMs - fromMs) / stepMs) + 1;
  const series = record.series({ station, quantities, fromMs, toMs, points });
  const column = (name: (typeof quantities)[number], i: number) => series.columns[name]?.mean[i] ?? null;
  for (let i = 0; i < series.count; i++) {
    const inputW = column('inputPowerW', i);
    const outputW = column('outputPowerW', i);
    if (inputW === null && outputW === null) continue;
    const values = { inputW, outputW, solarW: column('solarPowerW', i), pct: column('stateOfChargePct', i) };
    // A coarser bucket than a minute stands for each of its minutes.
    for (let at = series.startMs + i * series.stepMs; at < series.startMs + (i + 1) * series.stepMs; at += MINUTE_MS)
      follower.recall(at, values);
  }
}
