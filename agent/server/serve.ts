/**
 * Puts the server together: the page, the HTTP interface and the live socket, on one port of this machine alone and,
 * where the owner shares it, on the same port of an address of a network.
 */
import { ACK_WINDOW, HEARTBEAT_MS, type LiveMessage, PROTOCOL_VERSION, type Scope, type WireStation } from '#messages';
import { urlHost } from './access.ts';
import { LIMITS, type ServerDeps } from './deps.ts';
import { toInstant } from './encode.ts';
import { createHttpServer } from './http.ts';
import { isEveryHost, Listeners } from './listeners.ts';
import { LiveHub } from './live.ts';
import { openapiRoute } from './openapi.ts';
import type { Route } from './router.ts';
import { agentRoutes } from './routes/agent.ts';
import { aimRoutes } from './routes/aim.ts';
import { alarmRoutes } from './routes/alarms.ts';
import { ledgerDayRoutes } from './routes/ledger-day.ts';
import { outlastRoutes } from './routes/outlast.ts';
import { ownAdapterRoutes } from './routes/own-adapters.ts';
import { planRoutes } from './routes/plan.ts';
import { radioRoutes } from './routes/radio.ts';
import { recordRoutes } from './routes/record.ts';
import { sharingRoutes } from './routes/sharing.ts';
import { StationList, stationRoutes } from './routes/stations.ts';
import { trialRoutes } from './routes/trials.ts';
import { loadSite } from './site.ts';
import { RefusalTally } from './tally.ts';

export interface RunningServer {
  /** `http://127.0.0.1:PORT/` */
  readonly url: string;
  readonly port: number;
  /** Sends a message to every page that wants it; never waits, never throws. */
  publish(message: LiveMessage): void;
  /** Replaces the stations; every page is greeted anew. */
  setStations(stations: readonly WireStation[]): void;
  /** Live clients connected now. */
  clients(): number;
  /** Whether any page looks at the aiming of a station. */
  aims(station: string): boolean;
  /** What was refused since the start, by kind. */
  refused(): Record<string, number>;
  /**
   * Listens on another address too, for those who have a session, under these names.
   *
   * @throws WattkeepError PORT_BUSY, USAGE where the address is not this machine's
   */
  open(address: string, names: readonly string[]): Promise<void>;
  /** Stops that, and lets go of everyone who came by it. */
  shut(address: string): Promise<void>;
  /** Idempotent; resolves when every connection is closed. */
  close(): Promise<void>;
}

/**
 * Starts listening. On all addresses at once (`0.0.0.0`) those who come over a network need a session all the same.
 *
 * @param names under which others may ask for it then
 * @throws WattkeepError PORT_BUSY where the port is taken, USAGE where the host is neither this machine's alone nor all,
 *   INTERNAL where the page is not built
 */
export async function startServer(deps: ServerDeps, names: () => readonly string[] = () => []): Promise<RunningServer> {
  const site = await loadSite(deps.siteDir);
  const limits = { ...LIMITS, ...deps.limits };
  const tally = new RefusalTally();
  const stations = new StationList();
  const { sessions } = deps;
  const hub = new LiveHub({
    sessions,
    limits,
    tally,
    clock: deps.clock,
    hello: scope => hello(deps, stations, scope),
    opening: (wanted, aim) => opening(deps, stations, wanted, aim),
    onClientClock: deps.onClientClock,
  });
  sessions.onEnded(id => hub.end(({ session }) => session?.id === id));
  const routes = routesOf(deps, stations);
  const listeners = new Listeners(entranceOf =>
    createHttpServer(
      {
        ...deps,
        site,
        limits,
        tally,
        routes,
        upgrade: (request, socket, head, entrance, caller) => hub.upgrade(request, socket, head, entrance, caller),
      },
      entranceOf,
    ),
  );
  let port: number;
  try {
    port = await listeners.openOwn(deps.host, deps.port, names);
  } catch (error) {
    await hub.close();
    throw error;
  }
  let closed: Promise<void> | null = null;
  return {
    url: `http://${isEveryHost(deps.host) ? '127.0.0.1' : urlHost(deps.host)}:${port}/`,
    port,
    publish: message => hub.publish(message),
    setStations(list) {
      stations.replace(list);
      hub.greet();
    },
    clients: () => hub.clients,
    aims: station => hub.aims(station),
    refused: () => tally.counts(),
    open: (address, known) => listeners.openShared(address, port, known),
    async shut(address) {
      hub.end(({ way }) => way === 'network');
      await listeners.shut(address);
    },
    close() {
      closed ??= listeners.close(() => hub.close());
      return closed;
    },
  };
}

function routesOf(deps: ServerDeps, stations: StationList): Route[] {
  const routes = [
    ...stationRoutes(stations, deps, deps.actions),
    ...outlastRoutes(stations, deps),
    ...planRoutes(stations, deps),
    ...aimRoutes(stations, deps.aim),
    ...ledgerDayRoutes(stations, deps.days, () => deps.clock.now()),
    ...trialRoutes(stations, deps.trials),
    ...alarmRoutes(stations, deps.alarms),
    ...recordRoutes(deps.queries, stations, deps.reading, deps.clock),
    ...agentRoutes(deps.health, deps.settings, deps.actions),
    ...ownAdapterRoutes(deps.actions),
    ...radioRoutes(deps.actions),
    ...sharingRoutes(deps),
  ];
  return [...routes, openapiRoute(routes, () => deps.hello().version)];
}

function hello(deps: ServerDeps, stations: StationList, scope: Scope): LiveMessage {
  return {
    type: 'hello',
    protocol: PROTOCOL_VERSION,
    ...deps.hello(),
    now: toInstant(deps.clock.now()),
    heartbeatMs: HEARTBEAT_MS,
    ackWindow: ACK_WINDOW,
    stations: [...stations.all],
    scope,
  };
}

function opening(
  deps: ServerDeps,
  stations: StationList,
  wanted: ReadonlySet<string> | null,
  aim: string | null,
): LiveMessage[] {
  const shown = stations.all.filter(s => wanted === null || wanted.has(s.id));
  const aiming = aim === null ? null : deps.aim.current(aim);
  return [
    { type: 'health', health: deps.health() },
    { type: 'alarms', alarms: deps.alarms.list() },
    ...shown.flatMap(s => deps.current(s.id)),
    ...(aiming === null ? [] : [aiming]),
  ];
}
