/**
 * Rows of one gap into the record: followed as live ones are, and the gap that was counted there taken back. What the
 * days gain and lose is worked out, never counted anew, so that every other part of a day stays to the millijoule.
 */
import { gapLimitMs } from '#energy/integrate';
import type { Reading } from '#kit';
import type { DayTotals, Outage, Span } from '#messages';
import { addCounted, type BridgeFound, type CountedAddition, type CountersTold } from '../derive/counted.ts';
import type { StationFacts } from '../derive/facts.ts';
import { createFollower } from '../derive/follow.ts';
import { createTally, type DayAddition } from '../derive/tally.ts';
import type { OpenedRecord } from '../store/open.ts';
import { countersAround } from './older-counters.ts';
import type { Hole } from './older-rows.ts';
import { addDays } from './run/pending.ts';

type Days = Map<string, DayAddition>;

function add(days: Days, additions: readonly DayAddition[]): void {
  for (const addition of additions) {
    const key = `${addition.date} ${addition.zone}`;
    const before = days.get(key);
    days.set(key, before === undefined ? addition : addDays(before, addition));
  }
}

/** A stretch without readings, as it was or would be counted. */
function gapDays(fromMs: number, toMs: number, zone: string): DayAddition[] {
  const end: Reading = {
    station: '',
    session: '-',
    seq: 1,
    monoMs: 0,
    at: toMs,
    clock: 'unknown',
    quantities: {},
    states: {},
    quality: 'bad',
    reasons: {},
  };
  return createTally(1000, fromMs).add(end, null, zone).days;
}

const less = (day: DayAddition): DayAddition => ({ ...day, gapMs: -day.gapMs });

/** The zone that was in force on a recorded day; the station's own elsewhere. */
function zonesOf(record: OpenedRecord, station: string, own: string): (at: number) => string {
  const days = record.days(station, '0000-01-01', '9999-12-31');
  let last: DayTotals | undefined;
  return at => {
    const holds = (day: DayTotals | undefined) => day !== undefined && at >= day.startMs && at < day.endMs;
    if (!holds(last)) last = days.find(holds);
    return last?.zone ?? own;
  };
}

/** Adds the rows of one hole to the record, in one transaction. */
export function takeOlder(hole: Hole, facts: StationFacts, record: OpenedRecord): void {
  const first = hole.readings[0];
  if (first === undefined) return;
  const { fromMs, toMs } = hole;
  const { station } = first;
  const zoneAt = zonesOf(record, station, facts.zone);
  const { blocks, starts, ends, takenBack } = countersAround(hole, record, station);
  const counters = gatherCounters();
  counters.add({ counted: takenBack, bridges: [] });
  const follower = createFollower(facts, {
    at: fromMs,
    latest: null,
    openOutage: null,
    counters: starts,
  });
  // What it says is counted already: only where it stands is needed.
  if (hole.joins !== undefined) follower.add(hole.joins);
  const days: Days = new Map();
  const readings: Reading[] = [];
  const outages = new Map<number, Outage>();
  const reason = fromMs === null ? 'noReading' : reasonOf(record, station, fromMs, toMs);
  const spans: Span[] = [];
  const gap = (from: number, to: number) => void spans.push({ station, reason, fromMs: from, toMs: to, note: '' });
  let zone = facts.zone;
  for (const reading of hole.readings) {
    if (zoneAt(reading.at) !== zone) {
      zone = zoneAt(reading.at);
      follower.setFacts({ ...facts, zone });
    }
    const followed = follower.add(reading);
    readings.push(followed.reading);
    add(days, followed.days);
    counters.add(followed);
    if (followed.gap !== null) gap(followed.gap.fromMs, followed.gap.toMs);
    if (followed.outage !== null) outages.set(followed.outage.startedAt, followed.outage);
  }
  for (const end of ends) counters.add(follower.countTo(end));
  const last = readings.at(-1)!;
  add(days, gapDays(last.at, toMs, zoneAt(toMs)));
  if (toMs - last.at > gapLimitMs(facts.intervalMs)) gap(last.at, toMs);
  if (fromMs !== null) add(days, gapDays(fromMs, toMs, zoneAt(toMs)).map(less));
  record.insertOlder({
    station,
    readings,
    days: [...days.values()].map(day => ({ station, ...day })),
    spans,
    counted: counters.counted().map(day => ({ station, ...day })),
    bridges: counters.bridges.map(block => ({ station, ...block })),
    recounted: blocks,
    // What was going on at its end is not known any more.
    outages: [...outages.values()].map(outage => ({ ...outage, endedAt: outage.endedAt ?? last.at })),
    gap: fromMs === null ? null : { fromMs, toMs },
  });
}

/** What counters said, gathered by day. */
function gatherCounters() {
  const counted = new Map<string, CountedAddition>();
  const bridges: BridgeFound[] = [];
  return {
    bridges,
    counted: () => [...counted.values()],
    add(told: CountersTold) {
      bridges.push(...told.bridges);
      for (const part of told.counted) {
        const key = `${part.date} ${part.zone} ${part.quantity}`;
        const before = counted.get(key);
        counted.set(key, before === undefined ? part : addCounted(before, part));
      }
    },
  };
}

/** Why nothing was recorded there, as it was told. */
function reasonOf(record: OpenedRecord, station: string, fromMs: number, toMs: number): 'agentDown' | 'noReading' {
  const told = record.spans(station, fromMs, toMs).find(s => s.fromMs >= fromMs && s.reason === 'agentDown');
  return told === undefined ? 'noReading' : 'agentDown';
}
