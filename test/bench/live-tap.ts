/** A client of the agent's live socket as the page is one: subscribes to all and acknowledges every message. */
import { WebSocket } from 'ws';
import { PROTOCOL_VERSION } from '#messages';

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
  socket.on('message', bytes => {
    const message = JSON.parse(String(bytes)) as Message;
    if (message.reading !== undefined) onReading(message.reading);
    socket.send(`{"type":"ack","n":${message.n}}`);
  });
  await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
  const now = new Date().toISOString();
  socket.send(JSON.stringify({ type: 'subscribe', protocol: PROTOCOL_VERSION, stations: [], now }));
  return { socket, close: () => socket.terminate() };
}

/** A client of a bare socket that sends readings' quantities and nothing else. */
export async function tapBare(url: string, onQuantities: (q: Record<string, number>) => void): Promise<LiveTap> {
  const socket = new WebSocket(url.replace('http', 'ws'));
  socket.on('message', bytes => onQuantities(JSON.parse(String(bytes)) as Record<string, number>));
  await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
  return { socket, close: () => socket.terminate() };
}
