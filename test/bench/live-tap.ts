/** A client of the agent's live socket as the page is one: subscribes to all, acknowledges by the page's own rule. */
import { WebSocket } from 'ws';
import { PROTOCOL_VERSION } from '#messages';
import { createAcknowledging } from '../../web/state/acknowledging.ts';
import type { PageClock } from '../../web/state/page-clock.ts';

const FRAME_MS = 16;

const clock: PageClock = {
  nowMs: () => performance.now(),
  wallIso: () => new Date().toISOString(),
  after(delayMs, call) {
    const timer = setTimeout(call, delayMs);
    return { cancel: () => clearTimeout(timer) };
  },
  whenShown: call => void setTimeout(call, FRAME_MS),
};

export interface TappedReading {
  readonly at: string;
  readonly quantities: Readonly<Record<string, number | null>>;
}

export interface LiveTap {
  readonly socket: WebSocket;
  close(): void;
}

interface Message {
  n: number;
  type: string;
  reading?: TappedReading;
}

/** @param url of the agent, `http://127.0.0.1:PORT/` */
export async function tapLive(url: string, onReading: (reading: TappedReading) => void): Promise<LiveTap> {
  const socket = new WebSocket(`${url.replace('http', 'ws')}live`, { origin: url.slice(0, -1) });
  const acknowledging = createAcknowledging(clock, n => socket.send(`{"type":"ack","n":${n}}`));
  socket.on('message', bytes => {
    const message = JSON.parse(String(bytes)) as Message;
    if (message.reading !== undefined) onReading(message.reading);
    acknowledging.took(message.n);
  });
  await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
  const hello = { type: 'subscribe', protocol: PROTOCOL_VERSION, stations: [], now: clock.wallIso() };
  socket.send(JSON.stringify(hello));
  return { socket, close: () => socket.terminate() };
}

/** A client of a bare socket that sends readings' quantities and nothing else. */
export async function tapBare(url: string, onQuantities: (q: Record<string, number>) => void): Promise<LiveTap> {
  const socket = new WebSocket(url.replace('http', 'ws'));
  socket.on('message', bytes => onQuantities(JSON.parse(String(bytes)) as Record<string, number>));
  await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
  return { socket, close: () => socket.terminate() };
}
