/**
 * Keeps one WebSocket to the agent: subscribes, checks every message, acknowledges what was shown, notices silence,
 * and tries again after 1, 2, 4, 8, then every 15 s. It decides nothing about what the messages mean.
 */

import * as v from 'valibot';
import { type ClientMessage, HEARTBEAT_MS, PROTOCOL_VERSION, ServerMessage } from '#messages';
import { createAcknowledging } from './acknowledging.ts';
import type { PageClock, TimerHandle } from './page-clock.ts';

export type Connection =
  | { phase: 'connecting' }
  | { phase: 'open' }
  /** The agent is not there. `retryAtMs` by the page's monotonic clock. */
  | { phase: 'lost'; attempt: number; retryAtMs: number }
  /** The agent speaks another version: only a reload helps. */
  | { phase: 'outdated' };

/** What of a WebSocket is used. */
export interface SocketLike {
  readonly readyState: number;
  onopen: (() => void) | null;
  onmessage: ((event: { data: unknown }) => void) | null;
  onclose: (() => void) | null;
  onerror: (() => void) | null;
  send(text: string): void;
  close(): void;
}

export interface ConnectionParts {
  clock: PageClock;
  openSocket(): SocketLike;
  onState(state: Connection): void;
  onMessage(message: ServerMessage): void;
  /** A message that does not fit its schema: dropped and counted, never guessed at. */
  onUnreadable(): void;
}

/** Silence longer than this many heartbeats means the line is dead though nobody closed it. */
const SILENT_HEARTBEATS = 2.5;
/** `WebSocket.OPEN`. */
const OPEN = 1;
const RETRY_MS = [1_000, 2_000, 4_000, 8_000, 15_000];
export const retryDelayMs = (attempt: number): number => RETRY_MS[Math.min(attempt, RETRY_MS.length) - 1]!;

export interface ConnectionControl {
  start(): void;
  /** Tries at once where it was waiting, or where the line was silent for too long while the page slept. */
  retryNow(): void;
  /** Asks for what is judged of this station's spots, now and on later lines; undefined: no more of it. */
  wantAim(station: string | undefined): void;
  close(): void;
}

export function connectToAgent(parts: ConnectionParts): ConnectionControl {
  const { clock } = parts;
  let socket: SocketLike | null = null;
  let timer: TimerHandle | null = null;
  let attempt = 0;
  let silenceMs = HEARTBEAT_MS * SILENT_HEARTBEATS;
  let aim: string | undefined;
  /** When the line last said something, or was opened. */
  let heardMs = 0;
  /** It should have been given up already: the timer slept with the page, and what it holds may be as old as that. */
  const isOld = () => clock.nowMs() - heardMs > silenceMs;

  const say = (message: ClientMessage) => socket?.send(JSON.stringify(message));
  const acknowledging = createAcknowledging(clock, n => say({ type: 'ack', n }));
  const subscribe = () =>
    say({ type: 'subscribe', protocol: PROTOCOL_VERSION, stations: [], now: clock.wallIso(), aim });
  const wait = (delayMs: number, call: () => void) => {
    timer?.cancel();
    timer = clock.after(delayMs, call);
  };

  function drop(): void {
    timer?.cancel();
    const old = socket;
    socket = null;
    if (old === null) return;
    old.onopen = old.onmessage = old.onclose = old.onerror = null;
    old.close();
  }

  function lost(): void {
    drop();
    attempt++;
    const delayMs = retryDelayMs(attempt);
    parts.onState({ phase: 'lost', attempt, retryAtMs: clock.nowMs() + delayMs });
    wait(delayMs, open);
  }

  function open(): void {
    drop();
    const mine = parts.openSocket();
    socket = mine;
    heardMs = clock.nowMs();
    acknowledging.reset();
    wait(silenceMs, lost);
    mine.onopen = subscribe;
    mine.onclose = lost;
    mine.onerror = lost;
    mine.onmessage = event => take(event.data);
  }

  /** An answer is on its way: nobody is told that the agent is gone. */
  function openAnew(): void {
    parts.onState({ phase: 'connecting' });
    open();
  }

  function take(data: unknown): void {
    if (isOld()) {
      openAnew();
      return;
    }
    heardMs = clock.nowMs();
    wait(silenceMs, lost);
    const raw = parse(data);
    if (raw?.type === 'hello' && raw.protocol !== PROTOCOL_VERSION) {
      drop();
      parts.onState({ phase: 'outdated' });
      return;
    }
    const checked = v.safeParse(ServerMessage, raw);
    if (typeof raw?.n === 'number') acknowledging.took(raw.n);
    if (!checked.success) {
      parts.onUnreadable();
      return;
    }
    const message = checked.output;
    if (message.type === 'hello') {
      attempt = 0;
      silenceMs = message.heartbeatMs * SILENT_HEARTBEATS;
      wait(silenceMs, lost);
      parts.onState({ phase: 'open' });
    }
    parts.onMessage(message);
  }

  return {
    start: openAnew,
    retryNow() {
      if (socket === null) open();
      else if (isOld()) openAnew();
    },
    wantAim(station) {
      aim = station;
      // On a line that is not open yet it is said when it opens.
      if (socket?.readyState === OPEN) subscribe();
    },
    close: drop,
  };
}

/** The message as an object, or null for what is not JSON. */
function parse(data: unknown): { type?: unknown; protocol?: unknown; n?: unknown } | null {
  if (typeof data !== 'string') return null;
  try {
    const value: unknown = JSON.parse(data);
    return typeof value === 'object' && value !== null ? value : null;
  } catch (cause) {
    if (cause instanceof SyntaxError) return null;
    throw cause;
  }
}
