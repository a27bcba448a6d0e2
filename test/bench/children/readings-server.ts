/**
 * Publishes one station's readings to whoever is connected, in one of three ways: `hub` (the agent's live socket),
 * `tcp` (the same bytes on plain connections) or `ws` (a bare WebSocket that waits for nobody). Told by its parent when
 * to publish and how often, it answers with the processor time that took.
 */
import type { AddressInfo } from 'node:net';
import { createServer, type Socket } from 'node:net';
import { WebSocketServer } from 'ws';
import type { LiveMessage } from '#messages';
import { serverClock } from '../../../agent/commands/surroundings.ts';
import { stageServer } from '../../support/server-stage.ts';
import type { Order, Report } from '../readings-source.ts';

/** What is left to do before the end. */
let leave: () => Promise<void> = () => Promise.resolve();

type Publish = (message: LiveMessage) => void;

async function openHub(): Promise<{ port: number; publish: Publish }> {
  const stage = await stageServer({ clock: serverClock });
  const { server } = stage;
  leave = () => stage.close();
  return { port: server.port, publish: message => server.publish(message) };
}

async function openTcp(): Promise<{ port: number; publish: Publish }> {
  const sockets = new Set<Socket>();
  const server = createServer({ noDelay: true }, socket => {
    sockets.add(socket);
    socket.on('error', () => socket.destroy());
    socket.on('close', () => sockets.delete(socket));
  });
  await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve));
  let n = 0;
  const publish: Publish = message => {
    n += 1;
    // Four bytes stand for the header of a frame.
    const bytes = Buffer.from(`    ${JSON.stringify({ n, ...message })}`);
    for (const socket of sockets) socket.write(bytes);
  };
  return { port: (server.address() as AddressInfo).port, publish };
}

async function openWs(): Promise<{ port: number; publish: Publish }> {
  const server = new WebSocketServer({ port: 0, host: '127.0.0.1', perMessageDeflate: false });
  await new Promise(resolve => server.once('listening', resolve));
  let n = 0;
  const publish: Publish = message => {
    n += 1;
    const text = JSON.stringify({ n, ...message });
    for (const socket of server.clients) socket.send(text);
  };
  return { port: (server.address() as AddressInfo).port, publish };
}

const readingOf = (seq: number): LiveMessage => ({
  type: 'reading',
  ageMs: 0,
  reading: {
    station: 'shed',
    session: 'Zx81kQm2',
    seq,
    at: new Date().toISOString(),
    clock: 'synced',
    quantities: { inputPowerW: 181.5, outputPowerW: seq, stateOfChargePct: 71 },
    states: {},
    quality: 'good',
    reasons: {},
  },
});

const open = { hub: openHub, tcp: openTcp, ws: openWs }[process.argv[2] ?? ''];
if (open === undefined) throw new Error('say hub, tcp or ws');
const { port, publish } = await open();
const report = (message: Report) => process.send?.(message);

let seq = 0;
process.on('message', (order: Order) => {
  if (order.hz === 0) {
    void leave().then(() => process.exit());
    return;
  }
  const before = process.cpuUsage();
  let published = 0;
  const timer = setInterval(() => {
    seq += 1;
    published += 1;
    publish(readingOf(seq));
    if (published < order.count) return;
    clearInterval(timer);
    // Acknowledgements on their way belong to the messages.
    setTimeout(() => {
      const { user, system } = process.cpuUsage(before);
      report({ published, cpuMicros: user + system });
    }, 200);
  }, 1000 / order.hz);
});
report({ port });
