/** The running agent: settings, adapters, the open record and the server put together. */
import { join } from 'node:path';
import type { ErrorCode } from '#kit';
import type { LiveMessage, Settings, WireHealth } from '#messages';
import { createAdapterHost } from '../../host/adapter-host.ts';
import { builtInManifests } from '../../host/built-in.ts';
import { createRadioHost, type RadioHost } from '../../host/radio-host.ts';
import type { Log } from '../../log/log.ts';
import type { ServerActions, ServerDeps, SettingsState } from '../../server/deps.ts';
import { encodeSaved } from '../../server/encode.ts';
import { type RunningServer, startServer } from '../../server/serve.ts';
import { loadSettings } from '../../settings/index.ts';
import { listSerialPorts } from '../../transports/list-ports.ts';
import { adapterEntry } from '../adapter-processes.ts';
import { blindTold, slowTold, undeliveredTold } from '../agent-words.ts';
import { aheadTold, notesTold } from '../record-words.ts';
import { clock, newId, serverClock, timers } from '../surroundings.ts';
import { type Adapters, openAdapters } from './adapters.ts';
import { type Holding, openHolding, queriesOf, recordDir } from './holding.ts';
import { createJudging, type Judging } from './judging.ts';
import { localName, networksNow } from './lan.ts';
import { ownAdaptersTold } from './own-told.ts';
import { planDoor } from './plan-door.ts';
import { createReadingDesk, type ReadingDesk } from './reading/desk.ts';
import { openKeptLedger, readingDoor } from './reading/door.ts';
import type { KeptLedger } from './reading/kept-ledger.ts';
import { scan } from './scan.ts';
import { type Door, openDoor } from './settings-door.ts';
import { openShared, type Shared } from './shared.ts';
import { openTrials, type RunningTrials } from './trials-door.ts';
import { trialsKnown } from './trials-known.ts';
import { createWebhook, type Webhook } from './webhook/webhook.ts';
import type { ZoneChild } from './zone-child.ts';
import { learnZones } from './zones.ts';

/** How far back the owner's own past is judged. */
const JUDGED_MS = 30 * 24 * 3_600_000;

export interface AgentOptions {
  /** Root of the built program. */
  dist: string;
  version: string;
  dataDir: string;
  settingsPath: string;
  /** As they were read there. */
  settings: SettingsState;
  /** Asked once what the zones in them are. */
  zones: ZoneChild;
  /** From flag, environment or settings file. */
  host: string;
  port: number;
  /** The network to be shared on in this run: an interface, '' for the only one; undefined: as the settings say. */
  lan: string | undefined;
  allowDemo: boolean;
  log: Log;
  /** A commit came to its end: null where all is saved or nothing was to be, else why nothing was. */
  onSettled(failure: ErrorCode | null, commitIntervalMs: number): void;
}

export interface RunningAgent {
  url: string;
  /** The simulated station is being shown. */
  demo: boolean;
  /** Who may come in, and how far; for a terminal that tells and asks. */
  shared: Shared;
  /** Saves, then lets go of everything. Idempotent. */
  close(): Promise<void>;
}

/** @throws WattkeepError where settings, data folder or port do not allow a start; nothing is left running then */
export async function startAgent(options: AgentOptions): Promise<RunningAgent> {
  const { log, dist } = options;
  let server: RunningServer | null = null;
  const publish = (message: LiveMessage) => server?.publish(message);
  const host = createAdapterHost({
    entryPath: adapterEntry(dist),
    clock,
    timers,
    onStderr: (source, text) => log.warn('adapter', text.trim(), { source: adapters.nameOf(source) }),
    allows: (place, manifest) => adapters.allows(place, manifest),
  });
  const radio = createRadioHost({
    entryPath: join(dist, 'agent', 'host', 'radio-child.js'),
    clock,
    timers,
    environment: process.env,
    onTrouble: text => log.warn('radio', text.trim()),
  });
  const judging = createJudging(join(dist, 'agent', 'commands', 'run', 'judge-child.js'), log);
  const readEntry = join(dist, 'program', 'read-child.js');
  const desk = createReadingDesk({ entry: readEntry, timers, log });
  let kept: KeptLedger | null = null;
  const webhook = createWebhook({ ...options, timers, newId, nowMs: clock.nowMs });
  let holding: Holding | null = null;
  /** Something changed before there was anything to apply it to. */
  let owed = false;
  let shared: Shared | null = null;
  let trials: RunningTrials | null = null;
  const apply = async (settings: Settings) => {
    owed = holding === null;
    webhook.follow(settings);
    await holding?.apply(settings);
    server?.setStations(holding?.watch.stations() ?? []);
    await shared?.follow(settings);
  };
  const adapters = openAdapters({
    ...options,
    host,
    builtIn: builtInManifests(adapterEntry(dist)),
    timers,
    onChange: () => {
      apply(door.get().settings).catch((cause: unknown) => log.error('adapter', String(cause)));
    },
  });
  const door = openDoor(options.settingsPath, options.settings, {
    check: settings => adapters.refuseUnknown(settings),
    apply,
  });
  const close = async () => {
    const judged = judging.close();
    trials?.close();
    webhook.close();
    adapters.close();
    await shared?.close();
    kept?.close();
    const read = desk.close();
    await server?.close();
    // With its last reader gone the record is left as one file.
    await Promise.all([judged, read]);
    await holding?.close();
    await Promise.all([host.close(), radio.close()]);
  };
  const recheck = () => void loadSettings(options.settingsPath);
  const machineZone = learnZones(options.zones, door.get().settings, recheck);
  // Waited for once the record is open; where that fails first, that is what is told.
  machineZone.catch(() => undefined);
  try {
    webhook.follow(door.get().settings);
    const aims = (station: string) => server?.aims(station) ?? false;
    const parts = { ...options, host, radio, adapters, publish, aims, machineZone, onAlarms: webhook.tell };
    const opened = await openHolding(parts, door.get().settings);
    holding = opened;
    if (owed) await apply(door.get().settings);
    await adapters.ready(door.get().settings);
    adapters.refuseUnknown(door.get().settings);
    shared = openShared({ ...options, server: () => server, remember: lan => door.setLan(lan) });
    kept = openKeptLedger({ ...options, desk, holding: opened }, readEntry);
    trials = openTrials({
      ...options,
      desk,
      holding: opened,
      timers,
      clock,
      publish,
      known: () => trialsKnown(opened, options.version, opened.tariff, clock.nowMs()),
    });
    server = await serve(
      { ...options, adapters, radio, shared, desk, kept, trials, notes: () => notesOn(opened, webhook) },
      door,
      opened,
      judging,
      () => server,
    );
    server.setStations(opened.watch.stations());
    await shared.start(door.get().settings);
    opened.begin();
    return { url: server.url, demo: opened.demo, shared, close };
  } catch (error) {
    await close();
    throw error;
  }
}

function serve(
  options: AgentOptions & {
    adapters: Adapters;
    radio: RadioHost;
    shared: Shared;
    desk: ReadingDesk;
    kept: KeptLedger;
    trials: RunningTrials;
    notes: () => string[];
  },
  door: Door,
  holding: Holding,
  judging: Judging,
  server: () => RunningServer | null,
) {
  const { sharing, door: sharingDoor } = options.shared;
  // Where it was started on every address, each of them is one of its names.
  const names = () => [localName(), ...networksNow().map(({ address }) => address)];
  const deps = {
    host: options.host,
    port: options.port,
    siteDir: join(options.dist, 'web'),
    queries: queriesOf(() => holding),
    hello: () => ({ version: options.version, demo: holding.demo, display: door.get().settings.display }),
    current: station => holding.watch.current(station),
    outlast: (station, asked) => holding.watch.outlast(station, asked),
    plan: planDoor(options.desk, holding, options.dataDir, () => holding.tariff),
    aim: {
      current: station => holding.watch.aim.current(station),
      answer: station => holding.watch.aim.answer(station),
      mark: (station, choice) => holding.watch.aim.mark(station, choice),
      changeMarks: (station, change) => holding.watch.aim.changeMarks(station, change),
      changeSpots: (station, change) => holding.watch.aim.changeSpots(station, change),
    },
    days: {
      day: (station, date) => holding.watch.days.day(station, date),
      spans: (station, fromMs, toMs) => holding.watch.days.spans(station, fromMs, toMs),
      changeNote: (station, change) => holding.watch.days.changeNote(station, change),
      changeSpan: (station, change) => holding.watch.days.changeSpan(station, change),
      facts: station => holding.watch.days.facts(station),
      moveFact: (station, change) => holding.watch.days.moveFact(station, change),
    },
    trials: options.trials,
    alarms: {
      list: () => holding.watch.alarms.list(),
      change: (change, station) => holding.watch.alarms.change(change, station),
    },
    reading: readingDoor({ ...options, holding }, options.kept),
    judging: { of: judging.of, begin: station => judging.begin(judgeOrder(options, holding, station)) },
    stationSettings: station => holding.watch.settings(station),
    health: () => ({ ...healthOf(options.version, door.get().settings, holding, server()), notes: options.notes() }),
    settings: door,
    sessions: sharing,
    sharing: sharingDoor,
    actions: actionsOf(door, holding, options),
    log: options.log,
    clock: serverClock,
    onClientClock: (at: number) => holding.watch.onClientClock(at),
    newId,
  } satisfies ServerDeps;
  return startServer(deps, names);
}

function judgeOrder({ dataDir }: AgentOptions, { demo, watch }: Holding, id: string) {
  const toMs = clock.nowMs();
  const zone = watch.stations().find(s => s.id === id)!.zone;
  return { dir: recordDir(dataDir, demo), demo, station: watch.settings(id), zone, fromMs: toMs - JUDGED_MS, toMs };
}

const notesOn = (holding: Holding, webhook: Webhook): string[] => [
  ...blindTold(holding.blind()),
  ...undeliveredTold(webhook.trouble()),
  ...slowTold(holding.watch.slowMs()),
];

function healthOf(version: string, settings: Settings, holding: Holding, server: RunningServer | null): WireHealth {
  const state = holding.record.savedState();
  const saved = encodeSaved(state);
  return {
    version,
    uptimeMs: clock.monoMs(),
    demo: holding.demo,
    saved: {
      ...saved,
      commitIntervalMs: settings.record.commitIntervalS * 1000,
      notes: [...notesTold(state.notes ?? []), ...aheadTold(state.lastSavedAt, clock.nowMs())],
    },
    clock: holding.watch.clockState(),
    clients: server?.clients() ?? 0,
    refused: server?.refused() ?? {},
  };
}

function actionsOf(
  door: Door,
  holding: Holding,
  { adapters, radio, log }: { adapters: Adapters; radio: RadioHost; log: Log },
): ServerActions {
  return {
    typed: (station, values) => holding.watch.typed(station, values),
    inputSource: (station, choice) => door.setInputSource(station, choice),
    // The simulated station stands in no file: its names last as long as it is shown.
    loads: (station, load) => (holding.demo ? holding.watch.tell(station, { load }) : door.setLoads(station, load)),
    plan: (station, plan) => (holding.demo ? holding.watch.tell(station, { plan }) : door.setPlan(station, plan)),
    retry: station => holding.watch.retry(station),
    release: station => holding.watch.release(station),
    putAway: station => holding.watch.putAway(station),
    putAwayCalendar: station => holding.watch.putAwayCalendar(station),
    confirmUnits: station => holding.watch.confirmUnits(station),
    serialPorts: async () => {
      const { ports, trouble } = await listSerialPorts();
      if (trouble !== null) log.info('serial', 'ports cannot be listed', { trouble });
      return ports;
    },
    adapters: () =>
      adapters.manifests().map(({ id, title, transports, gives }) => ({
        id,
        title,
        transports: [...transports],
        gives: [...gives],
      })),
    scan: forMs => scan({ radio, timers, manifests: () => adapters.manifests() }, forMs),
    ownAdapters: () => ownAdaptersTold(adapters.folder, adapters.own()),
    approveAdapter: ({ file, sha256 }) => adapters.approve(file, sha256, clock.nowMs()),
  };
}
