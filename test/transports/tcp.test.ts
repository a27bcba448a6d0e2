import { once } from 'node:events';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { openTcp } from '../../agent/transports/tcp.ts';
import { handClock } from '../support/hand-clock.ts';
import { openLogged } from '../support/link-log.ts';
import { realTimers, until } from '../support/real-time.ts';

const undo: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const step of undo.splice(0).reverse()) await step();
});

async function listen(onSocket: (socket: Socket) => void): Promise<number> {
  const sockets: Socket[] = [];
  const server: Server = createServer(socket => {
    sockets.push(socket);
    onSocket(socket);
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  undo.push(async () => {
    for (const socket of sockets) socket.destroy();
    server.close();
    await once(server, 'close');
  });
  return (server.address() as AddressInfo).port;
}
const open = (port: number) => {
  const log = openLogged(openTcp({ host: '127.0.0.1', port, timers: realTimers }));
  undo.push(() => log.link.close());
  return log;
};

describe('a TCP link', () => {
  it('gives the bytes the other side sends, and ends when it closes', async () => {
    const log = open(await listen(socket => socket.end('a line\n')));
    expect(await log.untilEnd()).toMatchObject({ failure: 'ended' });
    expect(log.text).toBe('a line\n');
    expect(log.opened).toBe(1);
  });

  it('is refused where nothing listens', async () => {
    const server = createServer().listen(0, '127.0.0.1');
    await once(server, 'listening');
    const { port } = server.address() as AddressInfo;
    server.close();
    await once(server, 'close');
    expect((await open(port).untilEnd()).failure).toBe('refused');
  });

  it('is not found where the name means nothing', async () => {
    const log = openLogged(openTcp({ host: 'no-such-host.invalid', port: 1, timers: realTimers }));
    undo.push(() => log.link.close());
    expect((await log.untilEnd()).failure).toBe('notFound');
  });

  it('gives up when there is no answer in time', async () => {
    const clock = handClock();
    // An address of the documentation range: nobody answers, whatever network this runs in.
    const log = openLogged(openTcp({ host: '192.0.2.1', port: 9, timers: clock }));
    undo.push(() => log.link.close());
    clock.advance(10_000);
    const end = await log.untilEnd();
    // Some networks refuse that address at once instead of keeping silent.
    expect(['timeout', 'notFound', 'refused', 'failed']).toContain(end.failure);
  });

  it('stops the sender while paused, so that nothing piles up here', async () => {
    let sent = 0;
    let stuck = false;
    const port = await listen(socket => {
      const chunk = Buffer.alloc(65_536);
      const more = (): void => {
        while (socket.write(chunk)) sent += chunk.length;
        stuck = true;
      };
      socket.on('error', () => socket.destroy());
      socket.on('drain', () => {
        stuck = false;
        if (sent < 200_000_000) more();
      });
      more();
    });
    const log = open(port);
    await log.untilOpen();
    log.link.pause();
    await until(() => stuck);
    const paused = log.bytes;
    await new Promise(resolve => setTimeout(resolve, 50));
    expect(log.bytes - paused).toBeLessThanOrEqual(65_536);
    log.link.resume();
    await until(() => log.bytes > paused + 1_000_000);
  });

  it('is silent once closed by the agent', async () => {
    const log = open(await listen(socket => socket.on('close', () => undefined)));
    await log.untilOpen();
    await log.link.close();
    await log.link.close();
    expect(log.ends).toEqual([]);
  });
});
