/** What an owner's webhook talks to: a real HTTP server that answers as the test says. */
import { createServer, type IncomingHttpHeaders, type RequestListener, type Server } from 'node:http';
import { createServer as createTlsServer, type ServerOptions } from 'node:https';
import type { AddressInfo } from 'node:net';

export interface Got {
  method: string;
  path: string;
  headers: IncomingHttpHeaders;
  body: string;
}

export interface Receiver {
  readonly url: string;
  readonly got: Got[];
  /** Resolves with the n-th request, from 1. */
  nth(n: number): Promise<Got>;
  close(): Promise<void>;
}

/** @param answer writes the n-th answer, from 1, or does not */
export async function receiver(
  answer: (n: number, response: Parameters<RequestListener>[1]) => void,
  tls?: ServerOptions,
): Promise<Receiver> {
  const got: Got[] = [];
  const waiting = new Set<() => void>();
  const listener: RequestListener = (request, response) => {
    const chunks: Buffer[] = [];
    request.on('data', chunk => void chunks.push(chunk));
    request.on('error', () => undefined);
    request.on('end', () => {
      const { method, url, headers } = request;
      got.push({ method: method!, path: url!, headers, body: Buffer.concat(chunks).toString('utf8') });
      answer(got.length, response);
      for (const look of waiting) look();
    });
  };
  const server: Server = tls === undefined ? createServer(listener) : createTlsServer(tls, listener);
  server.on('tlsClientError', () => undefined);
  await new Promise<void>(done => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as AddressInfo;
  return {
    url: `${tls === undefined ? 'http' : 'https'}://127.0.0.1:${port}/hook/the-key-in-the-path`,
    got,
    nth: n =>
      new Promise(resolve => {
        const look = () => {
          if (got.length < n) return;
          waiting.delete(look);
          resolve(got[n - 1]!);
        };
        waiting.add(look);
        look();
      }),
    async close() {
      server.closeAllConnections();
      await new Promise<void>(done => server.close(() => done()));
    },
  };
}
