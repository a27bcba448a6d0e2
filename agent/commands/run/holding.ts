/**
 * The record that is open now and the watch over it. When the first real station ends the demo, or the last one is
 * removed, one is closed and the other opened; whoever asks always gets the present one.
 */
import { join } from 'node:path';
import { type ErrorCode, WattkeepError } from '#kit';
import type { LiveMessage, RecordQueries, Settings, TariffSettings } from '#messages';
import type { AdapterHost } from '../../host/adapter-host.ts';
import type { Log } from '../../log/log.ts';
import { createSupervisor } from '../../stations/index.ts';
import { type OpenedRecord, type OpenOptions, openRecordSoon } from '../../store/open.ts';
import type { Radio } from '../../transports/ble-radio.ts';
import { clock, newId, random, timers } from '../surroundings.ts';
import type { Adapters } from './adapters.ts';
import type { AlarmNews } from './alarming.ts';
import { checkBeside, rescue } from './damaged.ts';
import { givePast, openDemo } from './demo.ts';
import { DEMO_ID } from './demo-printed.ts';
import { type ForesightApart, foresightApart } from './foresight/apart.ts';
import { planOf } from './plans.ts';
import type { RecordOrder } from './record-child.ts';
import { zoneOf } from './station-facts.ts';
import { startWatch, type Watch } from './watch.ts';

export interface HoldingParts {
  dataDir: string;
  version: string;
  /** Root of the built program. */
  dist: string;
  /** False: without a station in the settings the real record stays open, bare. */
  allowDemo: boolean;
  host: AdapterHost;
  radio: Radio;
  adapters: Adapters;
  log: Log;
  /** IANA zone of this computer; settles once the rules of all zones are known, rejects where one is unknown. */
  machineZone: Promise<string>;
  publish(message: LiveMessage): void;
  /** Alarms of real stations were raised or are over. */
  onAlarms(news: AlarmNews): void;
  /** A commit came to its end: null where all is saved or nothing was to be, else why nothing was. */
  onSettled(failure: ErrorCode | null, commitIntervalMs: number): void;
  /** Whether anybody looks at the aiming of a station. */
  aims(station: string): boolean;
}

export interface Holding {
  readonly record: OpenedRecord;
  readonly watch: Watch;
  readonly demo: boolean;
  /** What a kilowatt-hour costs: the owner's word, else the demo's own. */
  readonly tariff: TariffSettings | undefined;
  /** Why nothing can be told of what is ahead; null where it can. */
  blind(): string | null;
  /** The agent is there for its owner: looking ahead begins. Idempotent. */
  begin(): void;
  /** Settings changed; where demo and real change places, the other record is opened. */
  apply(settings: Settings): Promise<void>;
  /** Saves what is pending. Idempotent. */
  close(): Promise<void>;
}

interface Held {
  record: OpenedRecord;
  watch: Watch;
  demo: boolean;
  foresight: ForesightApart;
  /** Of the demo. */
  ownTariff: TariffSettings | undefined;
  /** Ends the check that may run beside it; settles once it holds the record no more. */
  endCheck(): Promise<void>;
}

/** @throws WattkeepError where the record or the demo cannot be opened; nothing is left open then */
export async function openHolding(parts: HoldingParts, settings: Settings): Promise<Holding> {
  const wantsDemo = (now: Settings) => now.station.length === 0 && parts.allowDemo;
  let now = settings;
  const keepRawDays = () => (now.record.keepRawDays === 0 ? null : now.record.keepRawDays);
  let held = await openWell(parts, settings, wantsDemo(settings), keepRawDays);
  let begun = false;
  let closed = false;
  return {
    get record() {
      return held.record;
    },
    get watch() {
      return held.watch;
    },
    get demo() {
      return held.demo;
    },
    get tariff() {
      return now.tariff ?? held.ownTariff;
    },
    blind: () => held.foresight.trouble(),
    begin() {
      begun = true;
      held.foresight.begin();
    },
    async apply(next) {
      now = next;
      const demo = wantsDemo(next);
      if (demo !== held.demo) {
        const before = held;
        held = await openWell(parts, next, demo, keepRawDays);
        if (begun) held.foresight.begin();
        await before.endCheck();
        await before.watch.close();
      } else if (!demo) held.watch.apply(next.station, next.tariff, next.record.commitIntervalS * 1000);
    },
    async close() {
      if (closed) return;
      closed = true;
      await held.endCheck();
      await held.watch.close();
    },
  };
}

/** A week in which the owner reads it, and may want it otherwise. */
const LET_GO_NOTICE_MS = 7 * 86_400_000;

export const recordDir = (dataDir: string, demo: boolean): string => join(dataDir, demo ? 'demo' : 'record');

/** A damage that shows only when the last day is read has left its sign then: opened once more it is rescued. */
async function openWell(...how: Parameters<typeof open>): Promise<Held> {
  try {
    return await open(...how);
  } catch (error) {
    if (!(error instanceof WattkeepError) || error.code !== 'RECORD_DAMAGED') throw error;
    return open(...how);
  }
}

async function open(
  parts: HoldingParts,
  settings: Settings,
  demo: boolean,
  keepRawDays: () => number | null,
): Promise<Held> {
  const commitIntervalMs = settings.record.commitIntervalS * 1000;
  const dir = recordDir(parts.dataDir, demo);
  const options = {
    nowMs: clock.nowMs,
    commitIntervalMs,
    keepRawDays,
    letGoNoticeMs: LET_GO_NOTICE_MS,
    demo,
    program: parts.version,
  };
  const order = async () => {
    const zone = await parts.machineZone;
    const stations = settings.station.map(station => ({ id: station.id, zone: zoneOf(station, zone) }));
    return { dir, demo, nowMs: clock.nowMs(), stations };
  };
  let record = await openWhole(dir, options, parts, order);
  if (demo && record.extent(DEMO_ID) === null) {
    record.close();
    await givePast(parts.dist, { dir, nowMs: clock.nowMs(), machineZone: await parts.machineZone });
    record = await openWhole(dir, options, parts, order);
  }
  let foresight: ForesightApart | null = null;
  try {
    const [machineZone, shown] = await Promise.all([
      parts.machineZone,
      demo ? openDemo(parts.dist, dir, record, clock.nowMs()) : null,
    ]);
    const entry = join(parts.dist, 'agent', 'commands', 'run', 'foresight-child.js');
    foresight = foresightApart({ entry, dir, demo, nowMs: clock.nowMs, timers, random, log: parts.log });
    const watch = startWatch({
      record,
      demo,
      stations: shown === null ? settings.station : [shown.station],
      tariff: settings.tariff ?? shown?.tariff,
      manifests: () => parts.adapters.manifests(),
      commitIntervalMs,
      machineZone,
      clock,
      timers,
      log: parts.log,
      foresight,
      publish: parts.publish,
      newId,
      // What is only shown calls nobody away from this page.
      onAlarms: news => (demo ? undefined : parts.onAlarms(news)),
      onSettled: parts.onSettled,
      aims: parts.aims,
      carry: shown?.carry,
      plan: (station, resting) => planOf(station, parts, resting),
      supervise: ({ reading, status }) =>
        createSupervisor({
          clock,
          timers,
          random,
          newSessionId: newId,
          runner: parts.host,
          onReading: reading,
          onStatus: status,
        }),
    });
    const endCheck = checkBeside(parts.dist, await order(), parts.log);
    return { record, watch, demo, foresight, ownTariff: shown?.tariff, endCheck };
  } catch (error) {
    await foresight?.close();
    record.close();
    throw error;
  }
}

/** A damaged record is rescued first; what becomes of it is told. */
async function openWhole(
  dir: string,
  options: OpenOptions,
  parts: HoldingParts,
  order: () => Promise<Omit<RecordOrder, 'act'>>,
): Promise<OpenedRecord> {
  try {
    return openOrRead(dir, options, parts.log);
  } catch (error) {
    if (!(error instanceof WattkeepError) || error.code !== 'RECORD_DAMAGED') throw error;
    await rescue(parts.dist, await order(), parts.log);
    return openOrRead(dir, options, parts.log);
  }
}

/** A disk that takes nothing at the start still shows its past, and the page says that nothing is being saved yet. */
function openOrRead(dir: string, options: OpenOptions, log: Log): OpenedRecord {
  const { record, waitsFor } = openRecordSoon(dir, options);
  if (waitsFor !== null)
    log.error('record', `${waitsFor.message} Nothing is saved until it can be.`, { code: waitsFor.code });
  return record;
}

/** The record's questions, always put to the one that is open now. */
export function queriesOf(holding: () => Holding): RecordQueries {
  const ask = () => holding().record;
  return {
    stations: () => ask().stations(),
    latest: station => ask().latest(station),
    series: request => ask().series(request),
    means: request => ask().means(request),
    limits: (station, fromMs, minutes) => ask().limits(station, fromMs, minutes),
    days: (station, from, to) => ask().days(station, from, to),
    extent: station => ask().extent(station),
    outages: (station, fromMs, toMs) => ask().outages(station, fromMs, toMs),
    spans: (station, fromMs, toMs) => ask().spans(station, fromMs, toMs),
    facts: station => ask().facts(station),
    cursor: station => ask().cursor(station),
    counted: (station, from, to) => ask().counted(station, from, to),
    bridges: (station, fromMs, toMs) => ask().bridges(station, fromMs, toMs),
    counterEnds: station => ask().counterEnds(station),
    learned: station => ask().learned(station),
    spots: station => ask().spots(station),
    marks: (station, fromWalk) => ask().marks(station, fromWalk),
    lastMark: station => ask().lastMark(station),
    notes: (station, from, to) => ask().notes(station, from, to),
    lastNote: station => ask().lastNote(station),
    evidence: station => ask().evidence(station),
    trials: station => ask().trials(station),
    trial: id => ask().trial(id),
    liveTrials: () => ask().liveTrials(),
    readings: (station, fromMs, toMs) => ask().readings(station, fromMs, toMs),
    savedState: () => ask().savedState(),
  };
}
