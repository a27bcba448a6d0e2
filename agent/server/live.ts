/**
 * The live socket's hub: lets clients in, gives each published message to those who want it, and lets go of who does
 * not keep to the ceilings. It never waits for a client: what one cannot take is replaced by what is newer.
 */
import type { IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { type WebSocket, WebSocketServer } from 'ws';
import { HEARTBEAT_MS, type LiveMessage, MAX_CLIENT_MESSAGE_BYTES } from '#messages';
import { type AllowedNames, checkAccess } from './access.ts';
import type { Cancel, ServerClock, ServerLimits } from './deps.ts';
import { makeFrame } from './frame.ts';
import { askedBy } from './http.ts';
import { type ClientParts, LiveClient } from './live-client.ts';
import type { RefusalTally } from './tally.ts';

export const LIVE_PATH = '/live';
const RETRY_AFTER_S = 10;
/** Empty fragments cost memory too. */
const MAX_FRAGMENTS = 64;

export interface HubParts {
  names(): AllowedNames;
  readonly limits: ServerLimits;
  readonly tally: RefusalTally;
  readonly clock: ServerClock;
  /** The hello of this moment. */
  hello(): LiveMessage;
  /** What a client that wants `stations` (null: all) gets at once. */
  opening(stations: ReadonlySet<string> | null): readonly LiveMessage[];
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
  upgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void {
    // Until ws takes it over, a reset by the peer would be nobody's error.
    socket.once('error', () => socket.destroy());
    const status = this.#refusalOf(request);
    if (status === null) this.#sockets.handleUpgrade(request, socket, head, ws => this.#welcome(ws, socket));
    else refuse(socket, status);
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

  #refusalOf(request: IncomingMessage): number | null {
    const { names, limits, tally } = this.#parts;
    const verdict = checkAccess(askedBy(request, true), names());
    if (!verdict.allowed) {
      tally.add(verdict.cause);
      return verdict.status;
    }
    if (request.url !== LIVE_PATH) return 404;
    if (!this.#closing && this.#clients.size < limits.liveClients) return null;
    tally.add('clients');
    return 503;
  }

  #welcome(ws: WebSocket, wire: Duplex): void {
    const { limits, tally, clock, opening, onClientClock } = this.#parts;
    const parts: ClientParts = { limits, tally, clock, opening, onClientClock };
    const client = new LiveClient(ws, wire, parts);
    this.#clients.add(client);
    ws.once('close', () => {
      this.#clients.delete(client);
      if (this.#clients.size === 0) this.#whenEmpty?.();
    });
    client.offer(makeFrame(this.#parts.hello(), clock.monoMs()));
  }

  #beat(): void {
    const frame = makeFrame({ type: 'beat' }, this.#parts.clock.monoMs());
    for (const client of this.#clients) if (client.beat()) client.offer(frame);
  }
}

const REASONS: Readonly<Record<number, string>> = {
  400: 'Bad Request',
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
