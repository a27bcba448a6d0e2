/**
 * Processor time a message to a client costs the server at 10 clients × 20 Hz, µs: the agent's live socket, acknowledged
 * as the page does, beside plain TCP that carries the same bytes and hears nothing back.
 */
import { connect } from 'node:net';
import { WebSocket } from 'ws';
import { atMostTimes, type Bench } from './figure.ts';
import { tapLive } from './live-tap.ts';
import { openSource } from './readings-source.ts';
import { median, takeTurns } from './samples.ts';

const CLIENTS = 10;
const HZ = 20;
const SECONDS = 8;
const ROUNDS = 6;

export const stream: Bench = {
  name: 'stream',
  title: `Stream: processor time a message, ${CLIENTS} clients × ${HZ} Hz`,
  async run(say) {
    const [hub, tcp, ws] = [await openSource('hub'), await openSource('tcp'), await openSource('ws')];
    const closing: (() => void)[] = [];
    try {
      for (let i = 0; i < CLIENTS; i++) {
        const live = await tapLive(`http://127.0.0.1:${hub.port}/`, () => undefined);
        const plain = connect(tcp.port, '127.0.0.1').resume();
        const bare = new WebSocket(`ws://127.0.0.1:${ws.port}/`);
        await new Promise(resolve => bare.once('open', resolve));
        closing.push(() => {
          live.close();
          plain.destroy();
          bare.terminate();
        });
      }
      const each = (source: typeof hub) => async () =>
        (await source.publish(HZ, HZ * SECONDS)) / (HZ * SECONDS * CLIENTS);
      for (const source of [hub, tcp, ws]) await each(source)();
      say(`${ROUNDS} rounds of ${SECONDS} s each`);
      const taken = await takeTurns(ROUNDS, { hub: each(hub), tcp: each(tcp), ws: each(ws) });
      const floor = median(taken.tcp);
      const samples = `${ROUNDS} rounds × ${HZ * SECONDS * CLIENTS}`;
      const floorIs = 'the same bytes over plain TCP';
      return [
        {
          name: 'live socket, with acknowledgements',
          unit: 'µs',
          value: median(taken.hub),
          floor,
          floorIs,
          goal: atMostTimes(1.8, floor),
          samples,
        },
        { name: 'bare WebSocket, without', unit: 'µs', value: median(taken.ws), floor, floorIs, samples },
      ];
    } finally {
      for (const close of closing) close();
      for (const source of [hub, tcp, ws]) source.end();
    }
  },
};
