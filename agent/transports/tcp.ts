/**
 * A TCP connection to a bridge or a script on the home network. Plain bytes, no TLS: what it carries is no secret and
 * an adapter can only read. A silent death of the other side is found by keep-alive within about 20 s.
 */
import { connect } from 'node:net';
import type { OpenLink, Timers } from '#kit';
import { failureOfCode, guard } from './guard.ts';

export interface TcpOptions {
  readonly host: string;
  readonly port: number;
  readonly timers: Timers;
  /** Default 10 000. */
  readonly connectLimitMs?: number;
}

const CONNECT_LIMIT_MS = 10_000;
const KEEP_ALIVE_MS = 10_000;

export const openTcp =
  ({ host, port, timers, connectLimitMs = CONNECT_LIMIT_MS }: TcpOptions): OpenLink =>
  unguarded => {
    const events = guard(unguarded);
    const socket = connect({ host, port, noDelay: true, keepAlive: true, keepAliveInitialDelay: KEEP_ALIVE_MS });
    const cancelLimit = timers.after(connectLimitMs, () => {
      events.closed('timeout', `no answer from ${host}:${port} within ${connectLimitMs / 1000} s`);
      socket.destroy();
    });
    socket.on('connect', () => {
      cancelLimit();
      events.opened();
    });
    socket.on('data', chunk => events.bytes(chunk as Buffer));
    socket.on('error', (cause: NodeJS.ErrnoException) => events.closed(failureOfCode(cause.code), cause.message));
    socket.on('close', () => {
      cancelLimit();
      events.closed('ended', `${host}:${port} closed the connection`);
    });
    return {
      pause: () => void socket.pause(),
      resume: () => void socket.resume(),
      send(message) {
        if (!socket.writable || socket.connecting) return false;
        // The socket keeps what it is given until it is written; the caller's bytes are only lent.
        socket.write(message.slice());
        return true;
      },
      close() {
        events.mute();
        cancelLimit();
        return new Promise(resolve => {
          if (socket.destroyed) resolve();
          else socket.once('close', () => resolve()).destroy();
        });
      },
    };
  };
