/**
 * The addresses it listens on. The first is this machine's own; a second one, of a network, comes and goes with the
 * owner's switch. Which of the two a connection came by decides what it may without a session, so that is taken from
 * the listening address alone, never from what a request says.
 */
import { once } from 'node:events';
import type { Server } from 'node:http';
import type { AddressInfo, Socket } from 'node:net';
import { WattkeepError } from '#kit';
import { type AllowedNames, allowedNames, isLoopbackHost, namesAt } from './access.ts';
import type { Entrance } from './gate.ts';

type MakeServer = (entranceOf: (socket: Socket) => Entrance) => Server;

/** All addresses of this machine at once: only where it was spelled out. */
export const isEveryHost = (host: string): boolean => ['0.0.0.0', '::', '[::]'].includes(host);

const NOBODY: AllowedNames = { hosts: new Set(), origins: new Set() };

export class Listeners {
  readonly #make: MakeServer;
  readonly #own: Server[] = [];
  readonly #shared = new Map<string, Server>();

  constructor(make: MakeServer) {
    this.#make = make;
  }

  /**
   * Listens on this machine's own address, or on all of them.
   *
   * @param names under which others may ask, where it is all of them
   * @returns the port really bound
   */
  async openOwn(host: string, port: number, names: () => readonly string[]): Promise<number> {
    const everywhere = isEveryHost(host);
    if (!everywhere && !isLoopbackHost(host)) {
      const why = `Listening on ${host} would leave this machine's own page behind.`;
      const fix = 'Use --lan to share it on a network as well; --host 0.0.0.0 listens on every address.';
      throw new WattkeepError('USAGE', why, fix);
    }
    let bound = 0;
    const here: Entrance = {
      way: 'loopback',
      names: own(() => (bound === 0 ? NOBODY : allowedNames(everywhere ? '127.0.0.1' : host, bound))),
    };
    const network: Entrance = { way: 'network', names: () => namesAt(names(), bound) };
    const server = this.#make(socket => (everywhere && !isFromHere(socket) ? network : here));
    await listen(server, host, port);
    bound = (server.address() as AddressInfo).port;
    this.#own.push(server);
    return bound;
  }

  async openShared(address: string, port: number, names: readonly string[]): Promise<void> {
    const allowed = namesAt([address, ...names], port);
    const entrance: Entrance = { way: 'network', names: () => allowed };
    const server = this.#make(() => entrance);
    await listen(server, address, port);
    this.#shared.set(address, server);
  }

  async shut(address: string): Promise<void> {
    const server = this.#shared.get(address);
    if (server === undefined) return;
    this.#shared.delete(address);
    await stop(server);
  }

  /** @param before what must be over before connections are cut */
  async close(before: () => Promise<void>): Promise<void> {
    const servers = [...this.#own, ...this.#shared.values()];
    const down = servers.map(server => closed(server));
    await before();
    for (const server of servers) server.closeAllConnections();
    await Promise.all(down);
  }
}

/** Made once: it is asked for at every request. */
function own(make: () => AllowedNames): () => AllowedNames {
  let made = NOBODY;
  return () => {
    if (made === NOBODY) made = make();
    return made;
  };
}

const isFromHere = ({ localAddress = '' }: Socket): boolean => isLoopbackHost(localAddress.replace(/^::ffff:/, ''));

const closed = (server: Server): Promise<void> =>
  new Promise(resolve => {
    server.close(() => resolve());
  });

async function stop(server: Server): Promise<void> {
  const down = closed(server);
  server.closeAllConnections();
  await down;
}

async function listen(server: Server, host: string, port: number): Promise<void> {
  try {
    server.listen({ host: host.replace(/^\[|\]$/g, ''), port });
    await once(server, 'listening');
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException;
    const fix = 'Choose another with --port, or --port 0 for any free one.';
    if (code === 'EADDRINUSE')
      throw new WattkeepError('PORT_BUSY', `Port ${port} of ${host} is already in use.`, fix, { cause });
    if (code === 'EACCES')
      throw new WattkeepError('PORT_BUSY', `Port ${port} may not be used by this account.`, fix, { cause });
    if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND')
      throw new WattkeepError('USAGE', `This machine has no address ${host}.`, 'Use --host 127.0.0.1.', { cause });
    throw cause;
  }
}
