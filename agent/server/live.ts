/**
 * The live socket's hub: lets clients in, gives each published message to those who want it, and lets go of who does
 * not keep to the ceilings. It never waits for a client: what one cannot take is replaced by what is newer.
 */
import type { IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { type WebSocket, WebSocketServer } from 'ws';
import { HEARTBEAT_MS, type LiveMessage, MAX_CLIENT_MESSAGE_BYTES, type Scope } from '#messages';
import { checkAccess } from './access.ts';
import type { Cancel, ServerClock, ServerLimits, SessionBook } from './deps.ts';
import { makeFrame } from './frame.ts';
import { type Caller, type Entrance, lackOf } from './gate.ts';
import { askedBy } from './http.ts';
import { type ClientParts, LiveClient } from './live-client.ts';
import type { RefusalTally } from './tally.ts';

export const LIVE_PATH = '/live';
const RETRY_AFTER_S = 10;
/** Empty fragments cost memory too. */
const MAX_FRAGMENTS = 64;

export interface HubParts {
  readonly sessions: SessionBook;
  readonly limits: ServerLimits;
  readonly tally: RefusalTally;
  readonly clock: ServerClock;
  /** The hello of this moment for a client that may do `scope`. */
  hello(scope: Scope): LiveMessage;
  /** What a client that wants `stations` (null: all) gets at once. */
  opening(stations: ReadonlySet<string> | null, aim: string | null): readonly LiveMessage[];
  onClientClock(epochMs: number): void;
}

export class LiveHub {
  readonly #parts: HubParts;
  readonly #clients = new Set<LiveClient>();
  readonly #sockets = new WebSocketServer({
    noServer: true,
    clientTracking: false,
    perMessageDeflate: false,
    maxPayload: MAX_CLIENT_MESSAGE_BYTES,
    maxFragments: MAX_FRAGMENTS,
    // A ping counts against the client's allowance, so LiveClient answers it.
    autoPong: false,
    handleProtocols: () => false,
  });
  readonly #stopBeating: Cancel;
  #whenEmpty: (() => void) | null = null;
  #closing = false;

  constructor(parts: HubParts) {
    this.#parts = parts;
    this.#stopBeating = parts.clock.every(HEARTBEAT_MS, () => this.#beat());
  }

  get clients(): number {
    return this.#clients.size;
  }

  /** Answers an upgrade request: 101, or a refusal before any handshake. */
  upgrade(request: IncomingMessage, socket: Duplex, head: Buffer, entrance: Entrance, caller: Caller): void {
    // Until ws takes it over, a reset by the peer would be nobody's error.
    socket.once('error', () => socket.destroy());
    const status = this.#refusalOf(request, entrance, caller);
    if (status === null) this.#sockets.handleUpgrade(request, socket, head, ws => this.#welcome(ws, socket, caller));
    else refuse(socket, status);
  }

  /** Greets everyone anew. */
  greet(): void {
    for (const client of this.#clients) client.greet();
  }

  /** Lets go of every client of a session that is over, and of those that came by a way that is closed. */
  end(isOver: (caller: Caller) => boolean): void {
    const { clock, limits } = this.#parts;
    const ending = [...this.#clients].filter(client => isOver(client.caller));
    for (const client of ending) client.close(1008, 'the session is over');
    if (ending.length > 0)
      clock.after(limits.closeWithinMs, () => {
        for (const client of ending) client.drop();
      });
  }

  /** Whether any client wants the aiming of a station. */
  aims(station: string): boolean {
    for (const client of this.#clients) if (client.aim === station) return true;
    return false;
  }

  /** Sends a message to every client that wants it. Cheap where nobody listens. */
  publish(message: LiveMessage): void {
    if (this.#clients.size === 0) return;
    const frame = makeFrame(message, this.#parts.clock.monoMs());
    for (const client of this.#clients) client.offer(frame);
  }

  /** Says goodbye to all; resolves when they are gone, at the latest after `closeWithinMs`. Idempotent. */
  async close(): Promise<void> {
    this.#stopBeating();
    this.#closing = true;
    if (this.#clients.size === 0) return;
    const { clock, limits } = this.#parts;
    const gone = new Promise<void>(resolve => {
      this.#whenEmpty = resolve;
    });
    const stopWaiting = clock.after(limits.closeWithinMs, () => {
      for (const client of this.#clients) client.drop();
    });
    for (const client of this.#clients) client.close(1001, 'the agent is stopping');
    await gone;
    stopWaiting();
  }

  #refusalOf(request: IncomingMessage, entrance: Entrance, caller: Caller): number | null {
    const { limits, tally } = this.#parts;
    const verdict = checkAccess(askedBy(request, true), entrance.names());
    if (!verdict.allowed) {
      tally.add(verdict.cause);
      return verdict.status;
    }
    if (lackOf(caller, 'view') !== null) {
      tally.add('session');
      return 401;
    }
    if (request.url !== LIVE_PATH) return 404;
    if (!this.#closing && this.#clients.size < limits.liveClients && this.#isWelcome(caller)) return null;
    tally.add('clients');
    return 503;
  }

  /** One session holds a few places at most. */
  #isWelcome({ session }: Caller): boolean {
    if (session === null) return true;
    const held = [...this.#clients].filter(({ caller }) => caller.session?.id === session.id);
    return held.length < this.#parts.limits.liveClientsOfOne;
  }

  #welcome(ws: WebSocket, wire: Duplex, caller: Caller): void {
    const { limits, tally, clock, hello, opening, onClientClock, sessions } = this.#parts;
    const scope = () => (caller.session === null ? caller.scope : sessions.scopeOf(caller.session.id, caller.way));
    const parts: ClientParts = { limits, tally, clock, hello, opening, onClientClock, scope };
    const client = new LiveClient(ws, wire, caller, parts);
    this.#clients.add(client);
    ws.once('close', () => {
      this.#clients.delete(client);
      if (this.#clients.size === 0) this.#whenEmpty?.();
    });
    client.greet();
  }

  #beat(): void {
    const frame = makeFrame({ type: 'beat' }, this.#parts.clock.monoMs());
    for (const client of this.#clients) if (client.beat()) client.offer(frame);
  }
}

const REASONS: Readonly<Record<number, string>> = {
  400: 'Bad Request',
  401: 'Unauthorized',
  403: 'Forbidden',
  404: 'Not Found',
  405: 'Method Not Allowed',
  421: 'Misdirected Request',
  503: 'Service Unavailable',
};

function refuse(socket: Duplex, status: number): void {
  const retry = status === 503 ? `Retry-After: ${RETRY_AFTER_S}\r\n` : '';
  const line = `HTTP/1.1 ${status} ${REASONS[status] ?? 'Forbidden'}\r\n`;
  socket.end(`${line}Connection: close\r\nContent-Length: 0\r\n${retry}\r\n`);
}
