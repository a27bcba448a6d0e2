/**
 * One station's desk: its running state, today's totals and the newest message of each kind. It turns a stamped reading
 * into what is to be saved and what the page is told.
 */
import { civilDate } from '#energy/civil-day';
import { SLOTS_PER_DAY } from '#energy/estimates/input-ahead';
import type { InputSource, Reading } from '#kit';
import type { DayTotals, LiveMessage, RecordQueries, StationSettings, WireStatus } from '#messages';
import { createFollower, type Followed, type Follower, quarterOf, type StationFacts } from '../../derive/follow.ts';
import { addDays, type Pending } from './pending.ts';
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
  latest(): Reading | null;
  /** The newest reading as a message with its age, or null before the first. */
  newest(monoMs: number): LiveMessage | null;
  setStatus(status: WireStatus): LiveMessage;
  status(): WireStatus | null;
  project(nowMs: number): LiveMessage;
  day(nowMs: number): LiveMessage | null;
  /** Looks up again what the same hours of the last days brought. */
  lookBack(nowMs: number): void;
  /** What was pending is lost: everything since the last saved instant is a gap. */
  forgetUnsaved(savedAt: number | null): void;
}

export function openDesk(initial: StationSettings, facts: StationFacts, record: RecordQueries, nowMs: number): Desk {
  let settings = initial;
  const { id } = initial;
  const follower = createFollower(facts, resumeOf(record, id, nowMs));
  recallLastDay(follower, record, id, nowMs);
  let today: DayTotals | null = null;
  let latest: { reading: Reading; source: InputSource } | null = null;
  let status: WireStatus | null = null;

  const totalsOf = (date: string): DayTotals | null => record.days(id, date, date)[0] ?? null;
  today = totalsOf(civilDate(nowMs, facts.zone));

  const lookBack = (at: number) => follower.setUsualSun(usualSun(record, id, at, follower.facts().zone));
  lookBack(nowMs);

  function keep(reading: Reading, followed: Followed, pending: Pending): void {
    pending.reading(reading, {
      station: id,
      session: reading.session,
      seq: reading.seq,
      at: reading.at,
      inputSource: follower.facts().inputSource,
    });
    for (const addition of followed.days) {
      pending.day({ station: id, ...addition });
      if (today === null || today.date < addition.date) today = addition;
      else if (today.date === addition.date) today = addDays(today, addition);
    }
    if (followed.gap !== null) pending.span({ station: id, note: '', ...followed.gap });
    if (followed.outage !== null) pending.outage(followed.outage);
  }

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
      keep(reading, followed, pending);
      latest = { reading, source: followed.source };
      return readingMessage(reading, followed.source, 0);
    },
    latest: () => latest?.reading ?? null,
    newest: monoMs =>
      latest === null
        ? null
        : readingMessage(latest.reading, latest.source, Math.max(0, monoMs - latest.reading.monoMs)),
    setStatus(next) {
      status = next;
      return { type: 'status', status: next };
    },
    status: () => status,
    project: at => projectionMessage(id, follower.project(at), follower.facts(), status),
    day: at => tallyMessage(id, today, follower.lastHour(at), at),
    lookBack,
    forgetUnsaved(savedAt) {
      follower.restart(savedAt);
      today = totalsOf(civilDate(savedAt ?? nowMs, follower.facts().zone));
    },
  };
}

function resumeOf(record: RecordQueries, station: string, nowMs: number) {
  const last = record.latest(station);
  const open = record.outages(station, 0, nowMs).findLast(outage => outage.endedAt === null) ?? null;
  const said = last?.states.onMains;
  return { at: last?.at ?? null, openOutage: open, onMains: typeof said === 'boolean' ? said : null };
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
