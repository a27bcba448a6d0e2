/**
 * One station's desk: its running state, today's totals and the newest message of each kind. It turns a stamped reading
 * into what is to be saved and what the page is told.
 */
import { civilDate, civilDayOf } from '#energy/civil-day';
import { type Reading, WattkeepError } from '#kit';
import type { DayTotals, LiveMessage, RecordQueries, StationSettings, WireStatus } from '#messages';
import type { StationFacts } from '../../derive/facts.ts';
import { createFollower, type Follower, type Resume } from '../../derive/follow.ts';
import type { Ahead } from '../../derive/outlook.ts';
import { type DayAddition, emptyDay } from '../../derive/tally.ts';
import { createUnchanged } from '../../derive/unchanged.ts';
import type { PlanKnown } from './foresight/plan-known.ts';
import type { Foresight } from './foresight/port.ts';
import { recallMinutes } from './foresight/recalled.ts';
import { learnedAsKept, learnedWithUnits, unitsFrom } from './learned.ts';
import { addDays, enter, type Pending } from './pending.ts';
import { isSilent, projectionMessage, readingMessage, tallyMessage } from './say.ts';
import { createUnitWatch, type UnitWatch } from './unit-watch.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
/** An answer that is older is promised no more: whoever looks ahead is away. Many stations take turns of ten seconds. */
const AHEAD_STANDS_MS = 5 * MINUTE_MS;

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
  /** What it holds beside the link is not what was told last: whether it is asked of units, whether values stand still. */
  isStatusOld(): boolean;
  /** Asks anew what is ahead. @param told once it is known */
  look(nowMs: number, told: () => void): void;
  /** From the newest answer; null while there is none. */
  project(nowMs: number): LiveMessage | null;
  /** The newest answer is too old to be promised. */
  isOverdue(nowMs: number): boolean;
  day(nowMs: number): LiveMessage;
  /** What Plan rests on. Throws WattkeepError READING_ENDED where whoever looks ahead is away. */
  planKnown(nowMs: number): Promise<PlanKnown>;
  /** Asks what was learned of the station. @param keep takes it as it is kept */
  learned(keep: (valueJson: string) => void): void;
  /** The same where nobody can be asked: what was kept last, with what is known here. null where nothing was kept. */
  learnedBefore(): string | null;
  /** What was pending is lost: everything since the last saved instant is a gap. */
  forgetUnsaved(savedAt: number | null): void;
}

/** @param foresight where the station takes a seat */
export function openDesk(
  initial: StationSettings,
  facts: StationFacts,
  record: RecordQueries,
  nowMs: number,
  foresight: Foresight,
): Desk {
  let settings = initial;
  const { id } = initial;
  let latest = record.latest(id);
  const behind = { fromMs: nowMs - DAY_MS, toMs: nowMs, stepMs: MINUTE_MS };
  const follower = recallingFirst(createFollower(facts, resumeOf(record, latest, id, nowMs)), recall =>
    recallMinutes(record, id, behind, recall),
  );
  foresight.seat(id, facts);
  const units = createUnitWatch(unitsFrom(record.learned(id)));
  const unchanged = createUnchanged();
  let ahead: Ahead | null = null;
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

  const isOverdue = (at: number) => ahead !== null && at - ahead.madeAt > AHEAD_STANDS_MS;

  return {
    get settings() {
      return settings;
    },
    units,
    facts: () => follower.facts(),
    setFacts(next, nextFacts) {
      settings = next;
      follower.setFacts(nextFacts);
      foresight.setFacts(id, nextFacts);
    },
    add(reading, pending) {
      const followed = follower.add(reading);
      latest = followed.reading;
      live = true;
      unchanged.take(reading, reading.monoMs);
      foresight.add(id, followed.told);
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
      const unchangedMs = unchanged.forMs();
      const { units: _, unchangedMs: __, ...link } = next;
      status = {
        ...link,
        ...(asked === null ? {} : { units: { quantity: asked.key, as: asked.as, was: asked.was, is: asked.is } }),
        ...(unchangedMs === null || next.phase !== 'live' ? {} : { unchangedMs }),
      };
      return { type: 'status', status };
    },
    status: () => status,
    isStatusOld() {
      if (status === null) return false;
      const stands = unchanged.forMs() !== null && status.phase === 'live';
      return (status.units !== undefined) !== (units.asked() !== null) || (status.unchangedMs !== undefined) !== stands;
    },
    look(at, told) {
      foresight.ahead(id, at, answer => {
        ahead = answer;
        told();
      });
    },
    project(at) {
      if (ahead === null) return null;
      const silent = isSilent(status) || isOverdue(at);
      return projectionMessage(id, follower.project(at, ahead), follower.facts(), silent);
    },
    isOverdue,
    planKnown: at => foresight.planKnown(id, at),
    learned: keep =>
      foresight.learned(id, memoryJson => keep(learnedAsKept(memoryJson, latest?.at ?? nowMs, units.packed()))),
    learnedBefore: () => learnedWithUnits(record.learned(id), units.packed()),
    day: at => tallyMessage(id, todayAt(at), follower.lastHour(at), at),
    forgetUnsaved(savedAt) {
      follower.restart(savedAt, record.counterEnds(id));
      today = totalsOf(civilDate(savedAt ?? nowMs, follower.facts().zone));
    },
  };
}

/**
 * A follower that learns of the day behind before it is told or asked anything: ten milliseconds that no start need wait
 * for. A day that cannot be read is not known, and reading goes on; the record tells of its damage itself.
 */
function recallingFirst(follower: Follower, recall: (take: Follower['recall']) => void): Follower {
  let recalled = false;
  const first = (): Follower => {
    if (!recalled) {
      recalled = true;
      try {
        recall(follower.recall);
      } catch (error) {
        if (!(error instanceof WattkeepError)) throw error;
      }
    }
    return follower;
  };
  return {
    ...follower,
    add: reading => first().add(reading),
    project: (atMs, ahead) => first().project(atMs, ahead),
    lastHour: atMs => first().lastHour(atMs),
  };
}

function resumeOf(record: RecordQueries, latest: Reading | null, station: string, nowMs: number): Resume {
  const open = record.outages(station, 0, nowMs).findLast(outage => outage.endedAt === null) ?? null;
  return {
    at: latest?.at ?? null,
    latest,
    openOutage: open,
    counters: record.counterEnds(station),
  };
}
