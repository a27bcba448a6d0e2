/** A plant on a TCP port: every client gets every frame. */
import { createServer, type Server, type Socket } from 'node:net';
import type { Cable, OnListener } from './cable.ts';

const SLOW_CLIENT_BYTES = 1_000_000;

/** Listens on `host` and `port` (0: any free one). Rejects with the system's error where it cannot. */
export async function tcpCable(host: string, port: number): Promise<Cable> {
  const sockets = new Set<Socket>();
  let onListener: OnListener = () => () => undefined;
  const write = (socket: Socket, bytes: Uint8Array): void => {
    // A client that does not keep up loses bytes, as on a cable; it must not make this process grow.
    if (socket.writableLength < SLOW_CLIENT_BYTES) socket.write(bytes);
  };
  const listen = (on: number): Promise<Server> =>
    new Promise((resolve, reject) => {
      const fresh = createServer(socket => {
        sockets.add(socket);
        socket.setNoDelay(true);
        socket.on('close', () => sockets.delete(socket));
        // A client that resets the connection is gone; `close` follows and forgets it.
        socket.on('error', () => socket.destroy());
        socket.on(
          'data',
          onListener(bytes => write(socket, bytes)),
        );
      });
      fresh.once('error', reject);
      fresh.listen(on, host, () => resolve(fresh));
    });
  let server: Server | null = await listen(port);
  const address = server.address();
  const bound = address !== null && typeof address === 'object' ? address.port : port;
  const close = () => {
    server?.close();
    server = null;
    for (const socket of sockets) socket.destroy();
  };
  return {
    where: { host, port: bound },
    send(bytes) {
      for (const socket of sockets) write(socket, bytes);
    },
    hear(listener) {
      onListener = listener;
    },
    unplug: async () => close(),
    async replug() {
      server ??= await listen(bound);
    },
    close,
  };
}
