/** Sockets that a test opens, feeds and breaks by hand. */
import type { SocketLike } from '../../web/state/connection.ts';

export interface HandSocket extends SocketLike {
  /** What the page sent, parsed. */
  readonly sent: { type: string; n?: number; protocol?: number; now?: string }[];
  closed: boolean;
  hear(message: unknown): void;
}

export function handSocket(): HandSocket {
  const sent: HandSocket['sent'] = [];
  return {
    readyState: 1,
    onopen: null,
    onmessage: null,
    onclose: null,
    onerror: null,
    sent,
    closed: false,
    send: text => void sent.push(JSON.parse(text)),
    close() {
      this.closed = true;
    },
    hear(message) {
      this.onmessage?.({ data: typeof message === 'string' ? message : JSON.stringify(message) });
    },
  };
}
