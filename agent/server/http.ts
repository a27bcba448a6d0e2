/**
 * One HTTP request from its first line to its answer: access first, then the route table or the built page. Every
 * answer carries the same defences; nothing is ever allowed to another origin.
 */
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { type AllowedNames, type Asked, CHANGE_HEADER, checkAccess } from './access.ts';
import { readBody } from './body.ts';
import type { ServerLimits, ServerLog } from './deps.ts';
import { describeFailure, RequestFailure } from './failure.ts';
import { checkQueryNames } from './query.ts';
import { json, matchRoute, type Route, type RouteAnswer } from './router.ts';
import type { Site } from './site.ts';
import type { RefusalTally } from './tally.ts';

export interface HttpParts {
  /** Known only once the port is bound. */
  names(): AllowedNames;
  readonly site: Site;
  readonly routes: readonly Route[];
  readonly limits: ServerLimits;
  readonly tally: RefusalTally;
  readonly log: ServerLog;
  newId(): string;
}

/** A server that is not listening yet. */
export function createHttpServer(parts: HttpParts): Server {
  const { limits, tally } = parts;
  const server = createServer({
    maxHeaderSize: limits.headerBytes,
    headersTimeout: limits.headersTimeoutMs,
    requestTimeout: limits.requestTimeoutMs,
    connectionsCheckingInterval: limits.checkEveryMs,
  });
  server.maxConnections = limits.connections;
  server.on('drop', () => tally.add('connections'));
  server.on('request', (request, response) => {
    void serve(parts, request, response);
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
  };
}

async function serve(parts: HttpParts, request: IncomingMessage, response: ServerResponse): Promise<void> {
  response.setHeader('Content-Security-Policy', parts.site.policy);
  response.setHeader('X-Content-Type-Options', 'nosniff');
  response.setHeader('Referrer-Policy', 'no-referrer');
  response.setHeader('Cross-Origin-Resource-Policy', 'same-origin');
  response.setHeader('Cache-Control', 'no-store');
  const asked = askedBy(request, false);
  const verdict = checkAccess(asked, parts.names());
  if (!verdict.allowed) {
    parts.tally.add(verdict.cause);
    // The body of a refused request is not read, so the connection cannot be used again.
    response.writeHead(verdict.status, { Connection: 'close', 'Content-Length': 0 }).end();
    return;
  }
  try {
    const [path = '', search = ''] = split(asked.target);
    const answer = path.startsWith('/api/') ? await answerRoute(parts, request, path, search) : null;
    if (answer === null) serveFile(parts.site, request, response, path);
    else send(response, 200, answer);
  } catch (error) {
    fail(parts, request, response, error);
  }
}

function split(target: string): [path: string, search: string] {
  const at = target.indexOf('?');
  return at < 0 ? [target, ''] : [target.slice(0, at), target.slice(at + 1)];
}

async function answerRoute(
  parts: HttpParts,
  request: IncomingMessage,
  path: string,
  search: string,
): Promise<RouteAnswer> {
  const match = matchRoute(parts.routes, request.method ?? '', path);
  if (match === null)
    throw new RequestFailure(404, 'There is nothing at this path.', 'GET /api/openapi.json lists all.');
  if (match.route === null) throw new MethodFailure(match.allow);
  const { route, station } = match;
  const query = new URLSearchParams(search);
  checkQueryNames(query, Object.keys(route.query));
  const body = route.takes === null ? null : await readBody(request, route.takes, parts.limits.bodyBytes);
  const ifMatch = request.headers['if-match']?.replace(/^"(.*)"$/, '$1');
  return route.answer({ station, query, body, ifMatch });
}

class MethodFailure extends RequestFailure {
  readonly allow: string;

  constructor(allow: readonly string[]) {
    super(405, 'This path does not take that method.', `Use ${allow.join(' or ')}.`);
    this.allow = allow.join(', ');
  }
}

function serveFile(site: Site, request: IncomingMessage, response: ServerResponse, path: string): void {
  if (request.method !== 'GET' && request.method !== 'HEAD') throw new MethodFailure(['GET', 'HEAD']);
  const { 'accept-encoding': accept, 'if-none-match': known } = request.headers;
  const file = site.answer(path, String(accept ?? ''), known ?? '');
  if (file === null) {
    response.writeHead(404, { 'Content-Type': 'text/plain; charset=utf-8' }).end('Not found\n');
    return;
  }
  const length = file.body === null ? {} : { 'Content-Length': file.body.length };
  response.writeHead(file.status, { ...file.headers, ...length }).end(file.body);
}

function send(response: ServerResponse, status: number, { type, body, headers }: RouteAnswer): void {
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
  send(response, status, json(answer, request.complete ? undefined : { Connection: 'close' }));
}
