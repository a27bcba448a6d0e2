/**
 * The alarms of a watch: hears what pages are told, looks every two seconds, and tells the whole list where it changed.
 * What the owner answers holds for everybody, until the agent ends.
 */
import { civilDayOf } from '#energy/civil-day';
import { type Clock, WattkeepError } from '#kit';
import type {
  AlarmChange,
  LiveMessage,
  StationSettings,
  WireAlarm,
  WireHealth,
  WireProjection,
  WireReading,
  WireStatus,
} from '#messages';
import { createAlarms } from '../../alarms/alarms.ts';
import { lookAround } from '../../alarms/conditions.ts';
import type { Moment } from '../../alarms/slot.ts';
import { toldAlarm } from '../../alarms/told.ts';

const HOUR_MS = 3_600_000;
/** A station that was last read longer ago may lie anywhere by now (common practice, no source). */
const REMEMBERED_MS = 24 * HOUR_MS;
/** Tomorrow begins when people are up (common practice, no source). */
const MORNING_MS = 7 * HOUR_MS;
export const LOOK_EVERY_MS = 2_000;

/** What has just happened, for whoever is told of it elsewhere. */
export interface AlarmNews {
  readonly called: readonly WireAlarm[];
  readonly cleared: readonly WireAlarm[];
}

export interface AlarmingParts {
  readonly clock: Clock;
  readonly newId: () => string;
  /** Calls are numbered from it on; another in each run. */
  readonly firstCall: number;
  stations(): readonly StationSettings[];
  /** The last reading that is known of a station, as pages are told it; null before the very first. */
  lastOf(station: string): LiveMessage | null;
  /** IANA. */
  zoneOf(station: string | null): string;
  /** Why nothing is being saved; null while it is. */
  unsaved(): string | null;
  clockState(): WireHealth['clock'];
  publish(message: LiveMessage): void;
  onNews(news: AlarmNews): void;
}

export interface Alarming {
  /** Takes what pages are told. */
  hear(message: LiveMessage): void;
  look(): void;
  list(): WireAlarm[];
  /** @param station whose alarm it has to be; undefined: any. Throws WattkeepError REQUEST_INVALID. */
  change(change: AlarmChange, station?: string): void;
}

interface Heard {
  status: WireStatus | null;
  projection: WireProjection | null;
  reading: { wire: WireReading; takenMono: number } | null;
  /** The last one of an earlier run, unless that is long ago: the wait for the next began with this run. */
  before: WireReading | null;
  sinceMono: number;
  /** When its AC outlets were last off, by the monotonic clock. */
  outletsOffMono: number | null;
}

export function createAlarming(parts: AlarmingParts): Alarming {
  const { clock } = parts;
  const alarms = createAlarms(parts.newId, parts.firstCall);
  const heard = new Map<string, Heard>();
  /** The list of a watch before this one is no longer true. */
  let toldOnce = false;
  const of = (station: string): Heard => {
    const known = heard.get(station) ?? fresh(station);
    heard.set(station, known);
    return known;
  };
  function fresh(station: string): Heard {
    const last = parts.lastOf(station);
    const isRecent = last?.type === 'reading' && clock.nowMs() - Date.parse(last.reading.at) < REMEMBERED_MS;
    const before = isRecent ? last.reading : null;
    const sinceMono = clock.monoMs();
    return { status: null, projection: null, reading: null, before, sinceMono, outletsOffMono: null };
  }
  const list = () => alarms.list().map(toldAlarm);
  const tell = () => parts.publish({ type: 'alarms', alarms: list() });

  function seenOf({ id, solarPort }: StationSettings) {
    const { status, projection, reading, before, sinceMono, outletsOffMono } = of(id);
    return {
      id,
      status,
      projection,
      reading: reading?.wire ?? null,
      before,
      ageMs: clock.monoMs() - (reading?.takenMono ?? sinceMono),
      ports: solarPort.map(({ name, maxV }) => ({ name: name ?? null, maxV: maxV ?? null })),
      alarmed: alarms.stands(id),
      ending: alarms.stands(id, 'ending'),
      outletsOnMs: outletsOffMono === null ? Number.POSITIVE_INFINITY : clock.monoMs() - outletsOffMono,
    };
  }

  /** By the newest reading: its instant carried on to now. */
  function clockOffMs({ at, monoMs }: Moment): number | null {
    const readings = [...heard.values()].flatMap(({ reading }) => (reading === null ? [] : [reading]));
    const newest = readings.sort((a, b) => b.takenMono - a.takenMono)[0];
    return newest === undefined ? null : Math.abs(Date.parse(newest.wire.at) + monoMs - newest.takenMono - at);
  }

  function shelfEnd(until: 'tomorrow' | '1h' | '8h', station: string | null): number {
    const nowMs = clock.nowMs();
    if (until !== 'tomorrow') return nowMs + (until === '1h' ? 1 : 8) * HOUR_MS;
    return civilDayOf(nowMs, parts.zoneOf(station)).endMs + MORNING_MS;
  }

  return {
    hear(message) {
      if (message.type === 'status') of(message.status.station).status = message.status;
      else if (message.type === 'projection') of(message.projection.station).projection = message.projection;
      else if (message.type === 'reading') {
        const station = of(message.reading.station);
        station.reading = { wire: message.reading, takenMono: clock.monoMs() - message.ageMs };
        if (message.reading.states.acOutletsOn === false) station.outletsOffMono = station.reading.takenMono;
      }
    },
    look() {
      const stations = parts.stations();
      for (const id of heard.keys()) if (!stations.some(station => station.id === id)) heard.delete(id);
      const now = { at: clock.nowMs(), monoMs: clock.monoMs() };
      const agent = { unsaved: parts.unsaved(), clock: parts.clockState(), clockOffMs: clockOffMs(now) };
      const { changed, called, cleared } = alarms.see(lookAround(stations.map(seenOf), agent, now.at), now);
      if (changed || !toldOnce) tell();
      toldOnce = true;
      if (called.length + cleared.length > 0)
        parts.onNews({ called: called.map(toldAlarm), cleared: cleared.map(toldAlarm) });
    },
    list,
    change(change, station) {
      const alarm = list().find(({ id }) => id === change.id);
      if (alarm === undefined || (station !== undefined && alarm.station !== station))
        throw new WattkeepError('REQUEST_INVALID', 'That alarm is over.', 'Look at the list again.');
      if (change.do === 'acknowledge') alarms.acknowledge(change.id);
      else if (change.do === 'unshelve') alarms.unshelve(change.id);
      else alarms.shelve(change.id, shelfEnd(change.until, alarm.station));
      tell();
    },
  };
}
