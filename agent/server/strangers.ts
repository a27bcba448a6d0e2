/**
 * Connections over a network that have not shown a session. A few at once are enough to be paired; one more puts the
 * oldest of them out that is not just being answered, or is turned away itself. So neither a slow header nor a hundred
 * open connections keep others out for long, and those with a session are never counted.
 */
import type { Socket } from 'node:net';

export class Strangers {
  readonly #atOnce: number;
  readonly #onDropped: () => void;
  /** Oldest first; true while a request of it is being answered. */
  readonly #sockets = new Map<Socket, boolean>();

  constructor(atOnce: number, onDropped: () => void) {
    this.#atOnce = atOnce;
    this.#onDropped = onDropped;
  }

  arrived(socket: Socket): void {
    if (this.#sockets.size >= this.#atOnce) {
      this.#onDropped();
      const oldest = [...this.#sockets].find(([, busy]) => !busy)?.[0];
      if (oldest === undefined) {
        socket.destroy();
        return;
      }
      this.known(oldest);
      oldest.destroy();
    }
    this.#sockets.set(socket, false);
    socket.once('close', () => this.known(socket));
  }

  busy(socket: Socket): void {
    if (this.#sockets.has(socket)) this.#sockets.set(socket, true);
  }

  idle(socket: Socket): void {
    if (this.#sockets.has(socket)) this.#sockets.set(socket, false);
  }

  /** It showed a session, or is gone. */
  known(socket: Socket): void {
    this.#sockets.delete(socket);
  }
}
