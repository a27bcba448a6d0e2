/**
 * The watch over one record: its stations are read, followed, saved every commit interval, and told to the page. The
 * demo and the real record are two watches; they never run at once and share no folder.
 */
import { type AdapterManifest, type Clock, type ErrorCode, type Reading, type Timers, WattkeepError } from '#kit';
import type { LiveMessage, OutlastAnswer, StationSettings, TariffSettings, TypedValues, WireStation } from '#messages';
import { createStamper } from '../../derive/stamp.ts';
import type { Log } from '../../log/log.ts';
import type { AimDoor, DayDoor, OutlastAsked } from '../../server/deps.ts';
import type { Resting, StationPlan, StationReading, StationStatus, Supervisor } from '../../stations/index.ts';
import type { OpenedRecord } from '../../store/open.ts';
import { createAims } from './aiming/aims.ts';
import { aimDoor } from './aiming/door.ts';
import { type Alarming, type AlarmNews, createAlarming, LOOK_EVERY_MS } from './alarming.ts';
import { type Desk, openDesk } from './desk.ts';
import { createLooking } from './foresight/looking.ts';
import type { Foresight } from './foresight/port.ts';
import { createPace } from './pace.ts';
import { createPending, MOST_READINGS, type SaidByOwner } from './pending.ts';
import { putAwayCalendar } from './put-away.ts';
import { repeat } from './repeat.ts';
import { createResting, restingOf } from './resting.ts';
import { isSilent } from './say.ts';
import { given, readBy, typedLack } from './sources.ts';
import { changedFacts, factsAsRead, wireStation } from './station-facts.ts';
import { dayDoor } from './telling/door.ts';
import { createUpkeep } from './upkeep.ts';

export interface WatchParts {
  record: OpenedRecord;
  demo: boolean;
  stations: readonly StationSettings[];
  /** What a kilowatt-hour from the wall costs, where the owner told it. */
  tariff: TariffSettings | undefined;
  commitIntervalMs: number;
  /** Between two rounds of projections; ten seconds where it is not said. */
  projectEveryMs?: number;
  machineZone: string;
  /** Of all adapters there are now. */
  manifests(): readonly AdapterManifest[];
  clock: Clock;
  timers: Timers;
  log: Log;
  /** Made last: its readings and statuses come back to the watch. */
  supervise(on: { reading(reading: StationReading): void; status(status: StationStatus): void }): Supervisor;
  /** `resting`: what the owner said of it before still holds. */
  plan(station: StationSettings, resting: Resting | undefined): StationPlan;
  /** Looks ahead for all stations of this watch, which lets go of it. */
  foresight: Foresight;
  publish(message: LiveMessage): void;
  newId(): string;
  /** Alarms were raised or are over. */
  onAlarms(news: AlarmNews): void;
  /** A commit came to its end: null where all is saved or nothing was to be, else why nothing was. */
  onSettled(failure: ErrorCode | null, commitIntervalMs: number): void;
  /** Whether anybody looks at the aiming of a station. */
  aims(station: string): boolean;
  /** Has simulated panels carried to a spot; undefined where none are simulated. */
  carry: ((spot: string) => void) | undefined;
}

const PROJECT_EVERY_MS = 10_000;
/** What was learned changes with the percent: minutes of it are no loss. */
const KEEP_LEARNED_EVERY_MS = 10 * 60_000;
/** Pieces of some milliseconds: a year without seals is done in ten minutes. */
const UPKEEP_EVERY_MS = 10_000;
/** Whoever types is shown what follows from it, if it comes in this time. */
const TYPED_WAITS_MS = 2_000;
/** A failing disk is tried again at every commit; it is written about once in this time. */
const COMPLAIN_EVERY_MS = 60_000;

export interface Watch {
  stations(): WireStation[];
  /** What one station was told of itself. Throws WattkeepError STATION_UNKNOWN. */
  settings(station: string): StationSettings;
  /** The newest message of each kind about one station. */
  current(station: string): LiveMessage[];
  clockState(): ReturnType<ReturnType<typeof createStamper>['state']>;
  onClientClock(epochMs: number): void;
  /** Settles once it is known what is ahead now, or soon after. Throws WattkeepError. */
  typed(station: string, values: TypedValues): Promise<void>;
  /** Tries a link that waits, and takes up a station that was let go. */
  retry(station: string): void;
  /** Lets a station go for ten minutes. Throws WattkeepError. */
  release(station: string): void;
  /** Lets a station go until it is taken up by `retry`. Throws WattkeepError. */
  putAway(station: string): void;
  /** When to top up a station that is put away, as an iCalendar file. Throws WattkeepError. */
  putAwayCalendar(station: string): string;
  /** The owner says that a station tells other units now: they are taken from here on. Throws WattkeepError. */
  confirmUnits(station: string): void;
  /** Whether a station lasts until then, and what would help. Throws WattkeepError STATION_UNKNOWN. */
  outlast(station: string, asked: OutlastAsked): Promise<OutlastAnswer>;
  /** Marks, spots and where to point. */
  readonly aim: AimDoor;
  /** One day, and what the owner tells of days. */
  readonly days: DayDoor;
  /** How long saving takes, ms, where the disk is slow; null where it is not. */
  slowMs(): number | null;
  /** Saves at once what the owner says, all or nothing. Throws WattkeepError where the disk takes nothing. */
  keep(said: SaidByOwner): void;
  /** What calls the owner. */
  readonly alarms: Pick<Alarming, 'list' | 'change'>;
  /** Throws WattkeepError STATION_UNKNOWN. */
  desk(station: string): Desk;
  /** What is plugged in or is to run, for as long as the watch lasts. */
  tell(station: string, told: Partial<Pick<StationSettings, 'load' | 'plan'>>): void;
  /** Settings changed: stations come, go and change; facts are dated. */
  apply(stations: readonly StationSettings[], tariff: TariffSettings | undefined, commitIntervalMs: number): void;
  /** Saves what is pending and lets go of everything. Idempotent. */
  close(): Promise<void>;
}

export function startWatch(parts: WatchParts): Watch {
  const { record, clock, timers, log, foresight } = parts;
  const pending = createPending();
  const desks = new Map<string, Desk>();
  const stamper = createStamper(lastInstant(record));
  let commitIntervalMs = parts.commitIntervalMs;
  let complainedMono = Number.NEGATIVE_INFINITY;
  const lastSavedAt = new Map<string, number | null>();
  let closed = false;
  /** Why the last commit saved nothing. */
  let unsaved: string | null = null;
  const pace = createPace(clock.monoMs);

  const alarming = createAlarming({
    clock,
    newId: parts.newId,
    firstCall: Math.floor(clock.nowMs()),
    stations: () => [...desks.values()].map(({ settings }) => settings),
    lastOf: station => desks.get(station)?.newest(clock.nowMs(), clock.monoMs()) ?? null,
    zoneOf: station => (station === null ? undefined : desks.get(station)?.facts().zone) ?? parts.machineZone,
    unsaved: () => unsaved,
    clockState: () => stamper.state(),
    publish: parts.publish,
    onNews: parts.onAlarms,
  });
  const publish = (message: LiveMessage): void => {
    alarming.hear(message);
    parts.publish(message);
  };
  const looking = createLooking({ desks, foresight, clock, pending, publish });

  const read = (station: StationSettings) => readBy(station, parts.manifests());

  function take(unstamped: StationReading): void {
    const desk = desks.get(unstamped.station);
    if (desk === undefined || closed) return;
    // The wall time of the moment it was read, not of this one.
    const wallMs = clock.nowMs() - (clock.monoMs() - unstamped.monoMs);
    // What the owner typed is the owner's word already.
    const checked = unstamped.typed === true ? unstamped : desk.units.check(unstamped, unstamped.monoMs);
    const reading: Reading = { ...checked, ...stamper.stamp(wallMs, unstamped.monoMs) };
    const first = !desk.isLive();
    publish(desk.add(reading, pending));
    aims.add(desk.latest()!);
    if (desk.isStatusOld()) tellStatus(desk);
    if (first) looking.tell(desk);
    if (pending.size > MOST_READINGS) letGo();
  }

  /** Once more, since what it holds beside the link has changed. */
  function tellStatus(desk: Desk): void {
    const status = supervisor.statuses().find(({ station }) => station === desk.settings.id);
    if (status !== undefined) publish(desk.setStatus(status));
  }

  /** The answer is why nothing was saved. @param atLast nothing comes after it */
  function commit(atLast = false): WattkeepError | null {
    const failure = tryCommit(atLast);
    parts.onSettled(failure?.code ?? null, commitIntervalMs);
    return failure;
  }

  function tryCommit(atLast: boolean): WattkeepError | null {
    const batch = pending.batch();
    if (batch === null) return null;
    try {
      pace.during(() => record.commit(batch, atLast));
    } catch (error) {
      if (!(error instanceof WattkeepError)) throw error;
      unsaved = error.code;
      if (clock.monoMs() - complainedMono < COMPLAIN_EVERY_MS) return error;
      complainedMono = clock.monoMs();
      log.error('record', error.message, { code: error.code, held: pending.size });
      return error;
    }
    for (const cursor of batch.cursors) lastSavedAt.set(cursor.station, cursor.at);
    pending.saved();
    unsaved = null;
    return null;
  }

  /** Saves what the owner says before it is answered; where that fails it was not said. */
  function keepSaid(said: SaidByOwner): void {
    pending.say(said);
    const failure = commit();
    if (failure === null) return;
    pending.unsay(said);
    throw failure;
  }

  /** The disk has taken nothing for too long: that time becomes a gap, said in the log, never half a total. */
  function letGo(): void {
    log.error('record', 'readings were let go because the disk takes none', { readings: pending.size });
    pending.saved();
    for (const [id, desk] of desks) desk.forgetUnsaved(lastSavedAt.get(id) ?? null);
  }

  const factsNow = (station: StationSettings) => factsAsRead(station, read(station), parts.machineZone);

  const aims = createAims({
    record,
    clock,
    keep: keepSaid,
    gives: station => read(station).gives,
    listens: parts.aims,
    publish,
    carry: parts.carry,
    onStanding(station) {
      const desk = deskOf(desks, station);
      desk.setFacts(desk.settings, { ...desk.facts(), standing: aims.planes(station) });
    },
  });

  function seat(stations: readonly StationSettings[], tariff: TariffSettings | undefined): void {
    const nowMs = clock.nowMs();
    for (const id of desks.keys())
      if (!stations.some(s => s.id === id)) {
        desks.delete(id);
        foresight.leave(id);
      }
    aims.seat(stations.map(settings => ({ settings, facts: factsNow(settings) })));
    const came: string[] = [];
    for (const station of stations) {
      const facts = { ...factsNow(station), standing: aims.planes(station.id) };
      const desk = desks.get(station.id);
      if (desk === undefined) {
        desks.set(station.id, openDesk(station, facts, record, nowMs, foresight));
        came.push(station.id);
        lastSavedAt.set(station.id, record.latest(station.id)?.at ?? null);
      } else desk.setFacts(station, facts);
      for (const fact of changedFacts(station, tariff, record.facts(station.id), nowMs)) pending.fact(fact);
    }
    for (const id of came) looking.ahead(desks.get(id)!);
    supervisor.set(stations.map(station => parts.plan(station, restingOf(record, station.id, nowMs))));
  }

  const supervisor = parts.supervise({
    reading: take,
    status(status) {
      const desk = desks.get(status.station);
      if (desk === undefined) return;
      const before = isSilent(desk.status());
      publish(desk.setStatus(status));
      // What is promised ends or begins at once, not at the next round; between two tries nothing is, and none is made.
      if (before === isSilent(status)) return;
      if (isSilent(status)) looking.tellNewest(desk);
      else looking.tell(desk);
    },
  });
  const resting = createResting({
    record,
    clock,
    supervisor,
    keep(span) {
      pending.span(span);
      commit();
    },
  });
  seat(parts.stations, parts.tariff);
  commit();

  const stops = [
    repeat(
      timers,
      () => commitIntervalMs,
      () => void commit(),
    ),
    repeat(timers, () => UPKEEP_EVERY_MS, createUpkeep(record, log)),
    repeat(timers, () => parts.projectEveryMs ?? PROJECT_EVERY_MS, looking.round),
    repeat(timers, () => KEEP_LEARNED_EVERY_MS, looking.keepLearned),
    repeat(timers, () => LOOK_EVERY_MS, alarming.look),
  ];

  return {
    stations: () =>
      [...desks.values()].map(({ settings }) =>
        wireStation(settings, read(settings).gives, parts.demo, parts.machineZone),
      ),
    settings: station => deskOf(desks, station).settings,
    current: station => currentOf(desks.get(station), clock),
    clockState: () => stamper.state(),
    onClientClock(epochMs) {
      if (stamper.correct(epochMs, clock.monoMs())) log.warn('clock', 'took the time of a page', { at: epochMs });
    },
    async typed(station, values) {
      const desk = deskOf(desks, station);
      const lacks = typedLack(desk.settings, values);
      if (lacks !== null) throw new WattkeepError('REQUEST_INVALID', `${station} ${lacks.what}`, lacks.fix);
      supervisor.typed(station, { quantities: given(values), states: {}, quality: 'good', reasons: {} });
      commit();
      looking.tell(desk);
      await foresight.settled(TYPED_WAITS_MS);
    },
    retry(station) {
      deskOf(desks, station);
      resting.takeUp(station);
    },
    release(station) {
      deskOf(desks, station);
      resting.release(station);
    },
    putAway(station) {
      deskOf(desks, station);
      resting.putAway(station);
    },
    putAwayCalendar(station) {
      const desk = deskOf(desks, station);
      const { id, name } = desk.settings;
      const pct = desk.latest()?.quantities.stateOfChargePct ?? null;
      return putAwayCalendar(record, { id, name, zone: desk.facts().zone, pct }, clock.nowMs());
    },
    confirmUnits(station) {
      const desk = deskOf(desks, station);
      desk.units.confirm();
      tellStatus(desk);
    },
    async outlast(station, asked) {
      const { status } = deskOf(desks, station);
      const beside = asked.with === undefined ? null : deskOf(desks, asked.with).settings;
      const other = beside === null ? null : { id: beside.id, name: beside.name };
      return foresight.outlast({ station, asked, atMs: clock.nowMs(), silent: isSilent(status()), other });
    },
    aim: aimDoor(aims, { record, clock, timers, carries: parts.carry !== undefined }),
    days: dayDoor({ record, clock, keep: keepSaid, station: id => seatOf(deskOf(desks, id)) }),
    slowMs: pace.slowMs,
    keep: keepSaid,
    alarms: alarming,
    desk: station => deskOf(desks, station),
    tell(station, told) {
      const desk = deskOf(desks, station);
      const settings = { ...desk.settings, ...told };
      desk.setFacts(settings, { ...desk.facts(), named: settings.load });
    },
    apply(stations, tariff, nextCommitIntervalMs) {
      commitIntervalMs = nextCommitIntervalMs;
      seat(stations, tariff);
      commit();
    },
    async close() {
      if (closed) return;
      for (const stop of stops) stop();
      await supervisor.close();
      closed = true;
      await looking.keepLearnedAtLast();
      await foresight.close();
      commit(true);
      record.close();
    },
  };
}

function lastInstant(record: OpenedRecord): number | null {
  return record.savedState().lastSavedAt;
}

function deskOf(desks: ReadonlyMap<string, Desk>, station: string): Desk {
  const desk = desks.get(station);
  if (desk === undefined)
    throw new WattkeepError('STATION_UNKNOWN', `There is no station "${station}".`, 'Look up its id in Setup.');
  return desk;
}

const seatOf = (desk: Desk) => ({ settings: desk.settings, zone: desk.facts().zone });

function currentOf(desk: Desk | undefined, clock: Clock): LiveMessage[] {
  if (desk === undefined) return [];
  const nowMs = clock.nowMs();
  const status = desk.status();
  const newest = desk.newest(nowMs, clock.monoMs());
  const projection = desk.project(nowMs);
  return [
    ...(status === null ? [] : [{ type: 'status' as const, status }]),
    ...(newest === null ? [] : [newest]),
    ...(projection === null ? [] : [projection]),
    desk.day(nowMs),
  ];
}
