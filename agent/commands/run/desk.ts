/**
 * One station's desk: its running state, today's totals and the newest message of each kind. It turns a stamped reading
 * into what is to be saved and what the page is told.
 */
import { civilDate, civilDayOf } from '#energy/civil-day';
import { SLOTS_PER_DAY } from '#energy/estimates/input-ahead';
import type { Reading } from '#kit';
import type { DayTotals, LiveMessage, RecordQueries, StationSettings, WireStatus } from '#messages';
import { createFollower, type Follower, quarterOf, type Resume, type StationFacts } from '../../derive/follow.ts';
import { type DayAddition, emptyDay } from '../../derive/tally.ts';
import { addDays, enter, type Pending } from './pending.ts';
import { projectionMessage, readingMessage, tallyMessage } from './say.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
/** Days of record behind "what the same hours usually bring". */
const USUAL_DAYS = 7;

export interface Desk {
  readonly settings: StationSettings;
  facts(): StationFacts;
  setFacts(settings: StationSettings, facts: StationFacts): void;
  /** Takes a stamped reading: into `pending`, and as a message for the page. */
  add(reading: Reading, pending: Pending): LiveMessage;
  /** Whether anything was read in this run. */
  isLive(): boolean;
  /** The newest reading as a message with its age, the record's last one included; null before the very first. */
  newest(nowMs: number, monoMs: number): LiveMessage | null;
  setStatus(status: WireStatus): LiveMessage;
  status(): WireStatus | null;
  project(nowMs: number): LiveMessage;
  day(nowMs: number): LiveMessage;
  /** Looks up again what the same hours of the last days brought. */
  lookBack(nowMs: number): void;
  /** What was pending is lost: everything since the last saved instant is a gap. */
  forgetUnsaved(savedAt: number | null): void;
}

export function openDesk(initial: StationSettings, facts: StationFacts, record: RecordQueries, nowMs: number): Desk {
  let settings = initial;
  const { id } = initial;
  let latest = record.latest(id);
  const follower = createFollower(facts, resumeOf(record, latest, id, nowMs));
  recallLastDay(follower, record, id, nowMs);
  let today: DayTotals | null = null;
  /** Whether the latest reading is of this run. */
  let live = false;
  let status: WireStatus | null = null;

  const totalsOf = (date: string): DayTotals | null => record.days(id, date, date)[0] ?? null;
  today = totalsOf(civilDate(nowMs, facts.zone));

  const lookBack = (at: number) => follower.setUsualSun(usualSun(record, id, at, follower.facts().zone));
  lookBack(nowMs);

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
    isLive: () => live,
    newest(at, monoMs) {
      if (latest === null) return null;
      // What an earlier run read has only its wall time to tell its age by.
      return readingMessage(latest, Math.max(0, live ? monoMs - latest.monoMs : at - latest.at));
    },
    setStatus(next) {
      status = next;
      return { type: 'status', status: next };
    },
    status: () => status,
    project: at => projectionMessage(id, follower.project(at), follower.facts(), status),
    day: at => tallyMessage(id, todayAt(at), follower.lastHour(at), at),
    lookBack,
    forgetUnsaved(savedAt) {
      follower.restart(savedAt);
      today = totalsOf(civilDate(savedAt ?? nowMs, follower.facts().zone));
    },
  };
}

function resumeOf(record: RecordQueries, latest: Reading | null, station: string, nowMs: number): Resume {
  const open = record.outages(station, 0, nowMs).findLast(outage => outage.endedAt === null) ?? null;
  return { at: latest?.at ?? null, latest, openOutage: open };
}

/** Fills the rolling minutes from the record, so that a restart does not forget the day. */
function recallLastDay(follower: Follower, record: RecordQueries, station: string, nowMs: number): void {
  const quantities = ['inputPowerW', 'outputPowerW', 'solarPowerW', 'stateOfChargePct'] as const;
  const series = record.series({
    station,
    quantities,
    fromMs: nowMs - DAY_MS,
    toMs: nowMs,
    points: DAY_MS / MINUTE_MS,
  });
  const column = (name: (typeof quantities)[number], i: number) => series.columns[name]?.mean[i] ?? null;
  for (let i = 0; i < series.count; i++) {
    const inputW = column('inputPowerW', i);
    const outputW = column('outputPowerW', i);
    if (inputW === null && outputW === null) continue;
    // A coarser bucket than a minute stands for each of its minutes.
    for (let at = series.startMs + i * series.stepMs; at < series.startMs + (i + 1) * series.stepMs; at += MINUTE_MS)
      follower.recall(at, { inputW, outputW, solarW: column('solarPowerW', i), pct: column('stateOfChargePct', i) });
  }
}

/** Mean solar watts by quarter-hour of the local day; null where the last days hold none. */
function usualSun(record: RecordQueries, station: string, nowMs: number, zone: string): number[] | null {
  const points = USUAL_DAYS * SLOTS_PER_DAY;
  const fromMs = nowMs - USUAL_DAYS * DAY_MS;
  const series = record.series({ station, quantities: ['solarPowerW'], fromMs, toMs: nowMs, points });
  const sums = new Array<number>(SLOTS_PER_DAY).fill(0);
  const counts = new Array<number>(SLOTS_PER_DAY).fill(0);
  series.columns.solarPowerW?.mean.forEach((watts, i) => {
    if (watts === null) return;
    const slot = quarterOf(series.startMs + (i + 0.5) * series.stepMs, zone);
    sums[slot]! += watts;
    counts[slot]!++;
  });
  // A day's worth of quarters at least: less says nothing about tomorrow.
  if (counts.filter(n => n > 0).length < SLOTS_PER_DAY / 2) return null;
  return sums.map((sum, i) => (counts[i] === 0 ? 0 : sum / counts[i]!));
}
