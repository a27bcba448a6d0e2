/**
 * A client that stops reading for 8 s at 20 Hz: how many messages older than that moment it still gets when it reads
 * again, and how long until it has a value of now. Beside a bare WebSocket that sends without waiting for anybody.
 */
import { setTimeout as pause } from 'node:timers/promises';
import { WebSocket } from 'ws';
import { atMost, type Bench } from './figure.ts';
import { tapLive } from './live-tap.ts';
import { openSource, type ReadingsSource } from './readings-source.ts';
import { median, takeTurns } from './samples.ts';

const HZ = 20;
const STALL_MS = 8_000;
const BEFORE_MS = 2_000;
const AFTER_MS = 2_000;
const ROUNDS = 3;
const ALLOWED_STALE = 10;
const ALLOWED_MS = 1_000;
/** Two periods: a value this old is a value of now. */
const FRESH_MS = 2_000 / HZ;

interface Stall {
  stale: number;
  untilNewestMs: number;
}

type Listen = (told: (atMs: number) => void) => Promise<WebSocket>;

async function stallOnce(source: ReadingsSource, listen: Listen): Promise<Stall> {
  let resumedMs: number | null = null;
  let stale = 0;
  let untilNewestMs = Number.NaN;
  const socket = await listen(atMs => {
    if (resumedMs === null) return;
    if (atMs < resumedMs - FRESH_MS) stale += 1;
    else if (Number.isNaN(untilNewestMs)) untilNewestMs = Date.now() - resumedMs;
  });
  const published = source.publish(HZ, ((BEFORE_MS + STALL_MS + AFTER_MS) / 1000) * HZ);
  await pause(BEFORE_MS);
  socket.pause();
  await pause(STALL_MS);
  resumedMs = Date.now();
  socket.resume();
  await published;
  socket.terminate();
  return { stale, untilNewestMs };
}

const listenLive =
  ({ port }: ReadingsSource): Listen =>
  async told =>
    (await tapLive(`http://127.0.0.1:${port}/`, ({ at }) => told(Date.parse(at)))).socket;

const listenBare =
  ({ port }: ReadingsSource): Listen =>
  async told => {
    const socket = new WebSocket(`ws://127.0.0.1:${port}/`);
    socket.on('message', bytes =>
      told(Date.parse((JSON.parse(String(bytes)) as { reading: { at: string } }).reading.at)),
    );
    await new Promise(resolve => socket.once('open', resolve));
    return socket;
  };

export const stall: Bench = {
  name: 'stall',
  title: `Stall: a client that reads nothing for ${STALL_MS / 1000} s at ${HZ} Hz`,
  async run(say) {
    const [hub, bare] = [await openSource('hub'), await openSource('ws')];
    try {
      say(`${ROUNDS} stalls of each`);
      const taken = await takeTurns(ROUNDS, {
        hub: () => stallOnce(hub, listenLive(hub)),
        bare: () => stallOnce(bare, listenBare(bare)),
      });
      const samples = `${ROUNDS} stalls`;
      const floorIs = 'a bare WebSocket that waits for nobody: not a floor but what happens without a window';
      const pair = (key: keyof Stall) => ({
        value: median(taken.hub.map(s => s[key])),
        floor: median(taken.bare.map(s => s[key])),
      });
      return [
        { name: 'messages from before', unit: '', ...pair('stale'), floorIs, goal: atMost(ALLOWED_STALE), samples },
        {
          name: 'until a value of now',
          unit: 'ms',
          ...pair('untilNewestMs'),
          floorIs,
          goal: atMost(ALLOWED_MS),
          samples,
        },
      ];
    } finally {
      hub.end();
      bare.end();
    }
  },
};
