/** Puts the server together: the page, the HTTP interface and the live socket on one loopback port. */
import { once } from 'node:events';
import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { WattkeepError } from '#kit';
import { ACK_WINDOW, HEARTBEAT_MS, type LiveMessage, PROTOCOL_VERSION, type WireStation } from '#messages';
import { type AllowedNames, allowedNames, isLoopbackHost, urlHost } from './access.ts';
import { LIMITS, type ServerDeps } from './deps.ts';
import { toInstant } from './encode.ts';
import { createHttpServer } from './http.ts';
import { LiveHub } from './live.ts';
import { openapiRoute } from './openapi.ts';
import type { Route } from './router.ts';
import { agentRoutes } from './routes/agent.ts';
import { outlastRoutes } from './routes/outlast.ts';
import { ownAdapterRoutes } from './routes/own-adapters.ts';
import { radioRoutes } from './routes/radio.ts';
import { recordRoutes } from './routes/record.ts';
import { StationList, stationRoutes } from './routes/stations.ts';
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
  /** What was refused since the start, by kind. */
  refused(): Record<string, number>;
  /** Idempotent; resolves when every connection is closed. */
  close(): Promise<void>;
}

/**
 * Starts listening.
 *
 * @throws WattkeepError PORT_BUSY where the port is taken, USAGE where the host is not this machine's alone, INTERNAL where
 *   the page is not built
 */
export async function startServer(deps: ServerDeps): Promise<RunningServer> {
  if (!isLoopbackHost(deps.host)) {
    const why = `Listening on ${deps.host} would show the record to everyone on that network.`;
    throw new WattkeepError('USAGE', why, 'Use --host 127.0.0.1 or --host ::1.');
  }
  const site = await loadSite(deps.siteDir);
  const limits = { ...LIMITS, ...deps.limits };
  const tally = new RefusalTally();
  const stations = new StationList();
  let bound: AllowedNames = { hosts: new Set(), origins: new Set() };
  const names = () => bound;
  const hub = new LiveHub({
    names,
    limits,
    tally,
    clock: deps.clock,
    hello: () => hello(deps, stations),
    opening: wanted => opening(deps, stations, wanted),
    onClientClock: deps.onClientClock,
  });
  const server = createHttpServer({ ...deps, names, site, limits, tally, routes: routesOf(deps, stations) });
  server.on('upgrade', (request, socket, head) => hub.upgrade(request, socket, head));
  try {
    await listen(server, deps.host, deps.port);
  } catch (error) {
    await hub.close();
    throw error;
  }
  const { port } = server.address() as AddressInfo;
  bound = allowedNames(deps.host, port);
  let closed: Promise<void> | null = null;
  return {
    url: `http://${urlHost(deps.host)}:${port}/`,
    port,
    publish: message => hub.publish(message),
    setStations(list) {
      stations.replace(list);
      hub.publish(hello(deps, stations));
    },
    clients: () => hub.clients,
    refused: () => tally.counts(),
    close() {
      closed ??= stop(server, hub);
      return closed;
    },
  };
}

function routesOf(deps: ServerDeps, stations: StationList): Route[] {
  const routes = [
    ...stationRoutes(stations, deps, deps.actions),
    ...outlastRoutes(stations, deps),
    ...recordRoutes(deps.queries, stations, deps.actions, deps.clock),
    ...agentRoutes(deps.health, deps.settings, deps.actions),
    ...ownAdapterRoutes(deps.actions),
    ...radioRoutes(deps.actions),
  ];
  return [...routes, openapiRoute(routes, () => deps.hello().version)];
}

function hello(deps: ServerDeps, stations: StationList): LiveMessage {
  return {
    type: 'hello',
    protocol: PROTOCOL_VERSION,
    ...deps.hello(),
    now: toInstant(deps.clock.now()),
    heartbeatMs: HEARTBEAT_MS,
    ackWindow: ACK_WINDOW,
    stations: [...stations.all],
    scope: 'change',
  };
}

function opening(deps: ServerDeps, stations: StationList, wanted: ReadonlySet<string> | null): LiveMessage[] {
  const shown = stations.all.filter(s => wanted === null || wanted.has(s.id));
  return [{ type: 'health', health: deps.health() }, ...shown.flatMap(s => deps.current(s.id))];
}

async function listen(server: Server, host: string, port: number): Promise<void> {
  try {
    server.listen({ host: host.replace(/^\[|\]$/g, ''), port });
    await once(server, 'listening');
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException;
    const fix = 'Choose another with --port, or --port 0 for any free one.';
    if (code === 'EADDRINUSE') throw new WattkeepError('PORT_BUSY', `Port ${port} is already in use.`, fix, { cause });
    if (code === 'EACCES') {
      throw new WattkeepError('PORT_BUSY', `Port ${port} may not be used by this account.`, fix, { cause });
    }
    if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND') {
      throw new WattkeepError('USAGE', `This machine has no address ${host}.`, 'Use --host 127.0.0.1.', { cause });
    }
    throw cause;
  }
}

async function stop(server: Server, hub: LiveHub): Promise<void> {
  const down = new Promise<void>(resolve => {
    server.close(() => resolve());
  });
  await hub.close();
  server.closeAllConnections();
  await down;
}
