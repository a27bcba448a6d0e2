/**
 * One live client: what it asked for, what it has shown, and whether it is still there. Closing codes are those of
 * RFC 6455 section 7.4.1; malformed frames (1002, 1007, 1009) are answered by the ws library itself.
 */

import type { Duplex } from 'node:stream';
import * as v from 'valibot';
import { type RawData, WebSocket } from 'ws';
import { ACK_WINDOW, ClientMessage, type LiveMessage, reaches, type Scope } from '#messages';
import type { ServerClock, ServerLimits } from './deps.ts';
import { type Frame, makeFrame, writeFrame } from './frame.ts';
import type { Caller } from './gate.ts';
import { TokenBucket } from './rate.ts';
import type { RefusalTally } from './tally.ts';
import { SendWindow } from './window.ts';

const MINUTE_MS = 60_000;
const MISSED_BEATS_ALLOWED = 2;
/** What each kind of message asks of the session that sends it, looked up again for each. */
const NEEDS: Readonly<Record<ClientMessage['type'], Scope>> = { subscribe: 'view', ack: 'view' };

export interface ClientParts {
  readonly limits: ServerLimits;
  readonly tally: RefusalTally;
  readonly clock: ServerClock;
  /** What the session may now; null once it is over. */
  scope(): Scope | null;
  hello(scope: Scope): LiveMessage;
  /** @param aim station whose aiming is wanted as well */
  opening(stations: ReadonlySet<string> | null, aim: string | null): readonly LiveMessage[];
  onClientClock(epochMs: number): void;
}

export class LiveClient {
  readonly #socket: WebSocket;
  readonly #wire: Duplex;
  readonly #parts: ClientParts;
  readonly caller: Caller;
  /** As it was last told. */
  #scope: Scope | null = null;
  readonly #window = new SendWindow<Frame>(ACK_WINDOW);
  readonly #allowance: TokenBucket;
  readonly #bornMs: number;
  #subscribed = false;
  /** Stations wanted; null: all. */
  #wanted: ReadonlySet<string> | null = null;
  /** Station whose aiming is wanted; null: none. */
  #aim: string | null = null;
  #missedBeats = 0;
  #fullSinceMs: number | null = null;
  #isLeaving = false;

  /** @param wire the connection under `socket`: whole frames may be written to it, since nothing is compressed */
  constructor(socket: WebSocket, wire: Duplex, caller: Caller, parts: ClientParts) {
    this.caller = caller;
    this.#socket = socket;
    this.#wire = wire;
    this.#parts = parts;
    this.#bornMs = parts.clock.monoMs();
    this.#allowance = new TokenBucket(parts.limits.messagesPerMinute, MINUTE_MS, this.#bornMs);
    socket.on('message', (bytes, isBinary) => this.#take(bytes, isBinary));
    socket.on('pong', () => {
      this.#missedBeats = 0;
    });
    socket.on('ping', payload => {
      if (!this.#isLeaving && this.#spend()) socket.pong(payload);
    });
    // ws closes with the right code by itself; a reset by the peer ends in `close` as well.
    socket.on('error', () => parts.tally.add('message'));
  }

  get aim(): string | null {
    return this.#aim;
  }

  /** Sends now, or keeps the newest of its key until the client has caught up. Before a subscription only hello goes. */
  offer(frame: Frame): void {
    if (this.#isLeaving || !this.#wants(frame)) return;
    const n = this.#window.offer(frame.key, frame);
    if (n !== null) this.#send(frame, n);
  }

  /** Tells who the agent is and what this client may; lets go of it where its session is over. False when it did. */
  greet(): boolean {
    this.#scope = this.#parts.scope();
    if (this.#scope === null) return this.#turnAway('session', 1008, 'the session is over');
    this.offer(makeFrame(this.#parts.hello(this.#scope), this.#parts.clock.monoMs()));
    return true;
  }

  /** Once a heartbeat: pings, and lets go of a client that is silent, stuck or never subscribed. False when it did. */
  beat(): boolean {
    const nowMs = this.#parts.clock.monoMs();
    if (this.#isLeaving) {
      this.drop();
      return false;
    }
    if (this.#missedBeats >= MISSED_BEATS_ALLOWED) {
      this.#parts.tally.add('silent');
      this.drop();
      return false;
    }
    if (this.#isStuck(nowMs)) return this.#turnAway('slow', 1013, 'too slow');
    if (!this.#subscribed && nowMs - this.#bornMs >= this.#parts.limits.subscribeWithinMs) {
      return this.#turnAway('message', 1008, 'no subscription');
    }
    if (this.#parts.scope() !== this.#scope && !this.greet()) return false;
    this.#missedBeats += 1;
    this.#socket.ping();
    return true;
  }

  close(code: number, reason: string): void {
    this.#isLeaving = true;
    this.#socket.close(code, reason);
  }

  /** Cuts the connection without a closing handshake. */
  drop(): void {
    this.#isLeaving = true;
    this.#socket.terminate();
  }

  #wants(frame: Frame): boolean {
    if (!this.#subscribed) return frame.key === 'hello';
    if (frame.key === `aim ${frame.station}`) return frame.station === this.#aim;
    return frame.station === null || this.#wanted === null || this.#wanted.has(frame.station);
  }

  #send(frame: Frame, n: number): void {
    if (this.#socket.readyState !== WebSocket.OPEN) return;
    this.#wire.write(writeFrame(frame, n, this.#parts.clock.monoMs()));
  }

  #take(bytes: RawData, isBinary: boolean): void {
    this.#missedBeats = 0;
    if (this.#isLeaving) return;
    if (isBinary) {
      this.#turnAway('message', 1003, 'text only');
      return;
    }
    const parsed = parseJson(String(bytes));
    if (parsed === undefined) {
      this.#turnAway('message', 1007, 'not JSON');
      return;
    }
    const result = v.safeParse(ClientMessage, parsed);
    if (!result.success) {
      this.#turnAway('message', 1008, 'not a message of this protocol');
      return;
    }
    const scope = this.#parts.scope();
    if (scope === null || !reaches(scope, NEEDS[result.output.type])) {
      this.#turnAway(scope === null ? 'session' : 'scope', 1008, 'the session does not allow it');
      return;
    }
    if (result.output.type === 'ack') this.#acknowledge(result.output.n);
    else if (this.#spend()) this.#subscribe(result.output);
  }

  /** An acknowledgement of something new is bounded by what was sent, so it costs nothing. */
  #acknowledge(n: number): void {
    const ready = this.#window.acknowledge(n);
    if (ready === 'impossible') this.#turnAway('message', 1008, 'acknowledges what was not sent');
    else if (ready === 'stale') this.#spend();
    else for (const next of ready) this.#send(next.frame, next.n);
  }

  #subscribe(message: Extract<ClientMessage, { type: 'subscribe' }>): void {
    this.#subscribed = true;
    this.#wanted = message.stations.length === 0 ? null : new Set(message.stations);
    this.#aim = message.aim ?? null;
    this.#parts.onClientClock(Date.parse(message.now));
    const nowMs = this.#parts.clock.monoMs();
    for (const opening of this.#parts.opening(this.#wanted, this.#aim)) this.offer(makeFrame(opening, nowMs));
  }

  #isStuck(nowMs: number): boolean {
    if (this.#socket.bufferedAmount <= this.#parts.limits.bufferedBytes) {
      this.#fullSinceMs = null;
      return false;
    }
    this.#fullSinceMs ??= nowMs;
    return nowMs - this.#fullSinceMs >= this.#parts.limits.bufferedForMs;
  }

  /** One message of the client's allowance; false, and goodbye, where it is used up. */
  #spend(): boolean {
    return this.#allowance.take(this.#parts.clock.monoMs()) || this.#turnAway('rate', 1008, 'too many messages');
  }

  #turnAway(kind: 'message' | 'rate' | 'slow' | 'session' | 'scope', code: number, reason: string): false {
    if (!this.#isLeaving) this.#parts.tally.add(kind);
    this.close(code, reason);
    return false;
  }
}

/** The value, or undefined where the text is not JSON (JSON has no undefined). */
function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    if (cause instanceof SyntaxError) return undefined;
    throw cause;
  }
}
