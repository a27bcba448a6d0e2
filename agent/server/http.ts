/**
 * One HTTP request from its first line to its answer: access first, then who asks, then the route table or the built
 * page. Every answer carries the same defences; nothing is ever allowed to another origin.
 */
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { Socket } from 'node:net';
import type { Duplex } from 'node:stream';
import { type Asked, CHANGE_HEADER, checkAccess } from './access.ts';
import { readBody } from './body.ts';
import type { ServerClock, ServerLimits, ServerLog, SessionBook } from './deps.ts';
import {
  describeFailure,
  HereFailure,
  MethodFailure,
  RequestFailure,
  ScopeFailure,
  SessionFailure,
} from './failure.ts';
import { type Caller, callerOf, type Entrance, isBearerOnly, lackOf } from './gate.ts';
import { lightAsked } from './light.ts';
import { checkQueryNames } from './query.ts';
import { json, matchRoute, neededFor, type Route, type RouteAnswer } from './router.ts';
import { sendPieces } from './send-pieces.ts';
import type { Site } from './site.ts';
import { Strangers } from './strangers.ts';
import type { RefusalTally } from './tally.ts';

export const PAIR_PATH = '/pair';
export const HEALTH_PATH = '/healthz';

export interface HttpParts {
  readonly site: Site;
  readonly sessions: SessionBook;
  readonly routes: readonly Route[];
  readonly limits: ServerLimits;
  readonly tally: RefusalTally;
  readonly log: ServerLog;
  readonly clock: ServerClock;
  newId(): string;
  /** Takes a connection that wants to be a live socket. */
  upgrade(request: IncomingMessage, socket: Duplex, head: Buffer, entrance: Entrance, caller: Caller): void;
}

/**
 * A server that is not listening yet.
 *
 * @param entranceOf the way by which a connection came, where its address is reached by more than one
 */
export function createHttpServer(parts: HttpParts, entranceOf: (socket: Socket) => Entrance): Server {
  const { limits, tally } = parts;
  const strangers = new Strangers(limits.strangers, () => tally.add('connections'));
  const server = createServer({
    maxHeaderSize: limits.headerBytes,
    headersTimeout: limits.headersTimeoutMs,
    requestTimeout: limits.requestTimeoutMs,
    connectionsCheckingInterval: limits.checkEveryMs,
  });
  server.maxConnections = limits.connections;
  server.on('drop', () => tally.add('connections'));
  server.on('connection', socket => {
    if (entranceOf(socket).way === 'network') strangers.arrived(socket);
  });
  server.on('request', (request, response) => {
    const { socket } = request;
    const entrance = entranceOf(socket);
    strangers.busy(socket);
    response.once('close', () => strangers.idle(socket));
    const caller = callerOf(request, entrance, parts.sessions);
    if (caller.session !== null) strangers.known(socket);
    void serve(parts, entrance, caller, request, response);
  });
  server.on('upgrade', (request, socket, head) => {
    const entrance = entranceOf(request.socket);
    const caller = callerOf(request, entrance, parts.sessions);
    if (caller.session !== null) strangers.known(request.socket);
    parts.upgrade(request, socket, head, entrance, caller);
  });
  server.on('clientError', (error: NodeJS.ErrnoException, socket) => {
    tally.add('request');
    // A peer that reset the connection hears nothing any more.
    if (error.code === 'ECONNRESET' || !socket.writable) socket.destroy();
    else socket.end(`HTTP/1.1 ${MALFORMED[error.code ?? ''] ?? '400 Bad Request'}\r\nConnection: close\r\n\r\n`);
  });
  return server;
}

const MALFORMED: Readonly<Record<string, string>> = {
  HPE_HEADER_OVERFLOW: '431 Request Header Fields Too Large',
  ERR_HTTP_REQUEST_TIMEOUT: '408 Request Timeout',
};

/** What the access rules look at, taken from the request as it was sent. */
export function askedBy(request: IncomingMessage, upgrade: boolean): Asked {
  const one = (name: string) => {
    const value = request.headers[name];
    return Array.isArray(value) ? value.join(', ') : value;
  };
  return {
    method: request.method ?? '',
    target: request.url ?? '',
    hosts: request.rawHeaders.filter((_, i) => i % 2 === 1 && request.rawHeaders[i - 1]?.toLowerCase() === 'host'),
    origin: one('origin'),
    contentType: one('content-type'),
    changeHeader: one(CHANGE_HEADER),
    fetchSite: one('sec-fetch-site'),
    upgrade,
    bearerOnly: isBearerOnly(request),
  };
}

async function serve(
  parts: HttpParts,
  entrance: Entrance,
  caller: Caller,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<void> {
  response.setHeader('Content-Security-Policy', parts.site.policy);
  response.setHeader('X-Content-Type-Options', 'nosniff');
  response.setHeader('Referrer-Policy', 'no-referrer');
  response.setHeader('Cross-Origin-Resource-Policy', 'same-origin');
  response.setHeader('Cache-Control', 'no-store');
  const asked = askedBy(request, false);
  const verdict = checkAccess(asked, entrance.names());
  if (!verdict.allowed) {
    parts.tally.add(verdict.cause);
    // The body of a refused request is not read, so the connection cannot be used again.
    response.writeHead(verdict.status, { Connection: 'close', 'Content-Length': 0 }).end();
    return;
  }
  try {
    const [path = '', search = ''] = split(asked.target);
    const answer = isRoute(asked.method, path) ? await answerRoute(parts, caller, request, path, search) : null;
    if (answer === null) serveFile(parts.site, caller, request, response, path);
    else await send(parts, request, response, answer);
  } catch (error) {
    fail(parts, request, response, error);
  }
}

/** All but the built page's files, which are only read. */
const isRoute = (method: string, path: string): boolean =>
  path.startsWith('/api/') || path === HEALTH_PATH || (path === PAIR_PATH && method === 'POST');

function split(target: string): [path: string, search: string] {
  const at = target.indexOf('?');
  return at < 0 ? [target, ''] : [target.slice(0, at), target.slice(at + 1)];
}

async function answerRoute(
  parts: HttpParts,
  caller: Caller,
  request: IncomingMessage,
  path: string,
  search: string,
): Promise<RouteAnswer> {
  const match = matchRoute(parts.routes, request.method ?? '', path);
  // A stranger learns nothing of what there is.
  if (caller.scope === null && match?.route?.open !== true) throw new SessionFailure(caller.way, false);
  if (match === null)
    throw new RequestFailure(404, 'There is nothing at this path.', 'GET /api/openapi.json lists all.');
  if (match.route === null) throw new MethodFailure(match.allow);
  const { route, station } = match;
  checkCaller(parts, caller, route);
  const query = new URLSearchParams(search);
  checkQueryNames(query, Object.keys(route.query));
  const body = route.takes === null ? null : await readBody(request, route.takes, parts.limits.bodyBytes);
  const ifMatch = request.headers['if-match']?.replace(/^"(.*)"$/, '$1');
  return route.answer({ station, query, body, ifMatch, caller });
}

/** @throws SessionFailure, HereFailure, ScopeFailure */
function checkCaller({ tally, log }: HttpParts, caller: Caller, route: Route): void {
  if (route.open === true) return;
  const elsewhere = route.hereOnly === true && caller.way === 'network';
  const lack = lackOf(caller, neededFor(route));
  if (lack === null && !elsewhere) return;
  const changes = route.method !== 'GET';
  tally.add(lack ?? 'scope');
  if (lack === 'session') throw new SessionFailure(caller.way, changes);
  log.warn('access', 'refused', { session: caller.session?.id, address: caller.address, path: route.path });
  throw elsewhere ? new HereFailure() : new ScopeFailure(caller.way, changes);
}

function serveFile(
  site: Site,
  caller: Caller,
  request: IncomingMessage,
  response: ServerResponse,
  asked: string,
): void {
  // Who has no session yet finds the way to one at every address of the page.
  const path = caller.scope === null && site.isPage(asked) ? PAIR_PATH : asked;
  if (request.method !== 'GET' && request.method !== 'HEAD') throw new MethodFailure(['GET', 'HEAD']);
  const { 'accept-encoding': accept, 'if-none-match': known, cookie } = request.headers;
  const file = site.answer(path, String(accept ?? ''), known ?? '', lightAsked(cookie));
  if (file === null) {
    response.writeHead(404, { 'Content-Type': 'text/plain; charset=utf-8' }).end('Not found\n');
    return;
  }
  const length = file.body === null ? {} : { 'Content-Length': file.body.length };
  response.writeHead(file.status, { ...file.headers, ...length }).end(file.body);
}

async function send(
  { clock, limits }: HttpParts,
  request: IncomingMessage,
  response: ServerResponse,
  answer: RouteAnswer,
): Promise<void> {
  const { body, headers } = answer;
  const tag = headers?.ETag;
  if (tag !== undefined && answer.status === undefined && request.headers['if-none-match'] === tag) {
    if (typeof body !== 'string') await body.return?.();
    response.writeHead(304, { ...headers }).end();
  } else if (typeof body === 'string') sendText(response, answer.status ?? 200, { ...answer, body });
  else await sendPieces(response, { ...answer, body }, { clock, ...limits }, request.method === 'HEAD');
}

function sendText(
  response: ServerResponse,
  status: number,
  { type, body, headers }: RouteAnswer & { body: string },
): void {
  const bytes = Buffer.from(body);
  response.writeHead(status, { 'Content-Type': type, 'Content-Length': bytes.length, ...headers }).end(bytes);
}

function fail(parts: HttpParts, request: IncomingMessage, response: ServerResponse, error: unknown): void {
  // The client went away in the middle of its own request: nobody is left to answer.
  if (request.destroyed && !request.complete) {
    parts.tally.add('request');
    response.destroy();
    return;
  }
  const { status, answer, detail } = describeFailure(error, parts.newId);
  if (detail !== null) parts.log.error('http', 'a request failed', { method: request.method, ...detail });
  if (status === 400 || status === 413) parts.tally.add(request.method === 'GET' ? 'request' : 'body');
  if (error instanceof MethodFailure) response.setHeader('Allow', error.allow);
  // A long answer that broke off: the client sees that by its missing end.
  if (response.headersSent || response.destroyed) return;
  sendText(response, status, json(answer, request.complete ? undefined : { Connection: 'close' }));
}
