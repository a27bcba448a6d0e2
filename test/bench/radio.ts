/**
 * A notification of a peripheral until its value is in a WebSocket client, ms; four stations at 20 Hz; and how long a
 * lost link and a crashed radio cost. The air is simulated: real radio adds its connection interval.
 */
import { setTimeout as pause } from 'node:timers/promises';
import type { NowAnswer } from '#messages';
import { BATTERY, levelValue } from '../../simulators/radio/battery.ts';
import type { Peripheral } from '../../simulators/radio/peripheral.ts';
import { atMost, atMostTimes, type Bench, type Figure, unmeasured } from './figure.ts';
import { awaiting, burst, laneOf } from './lane.ts';
import { type TappedReading, tapBare, tapLive } from './live-tap.ts';
import { type Air, agentOn, bareOn, hasNoble, openAir, outputValue } from './radio-road.ts';
import { median, ofRounds, takeTurns } from './samples.ts';

const ROUNDS = 10;
const VALUES = 150;
const WARM_UP = 100;
const VALUE_MS = 26;
const MOST_W = 1_900;
/** What the agent may add to a bare script of as many processes. */
const ALLOWED_MS = 1.5;

const STATIONS = ['a1', 'a2', 'a3', 'a4'];
const EACH_MS = 50;
const EACH = 600;
const A_SECOND = 1000 / EACH_MS;
const LOSSES = 10;
const CRASH_ALLOWED_MS = 2_000;
const BACK_LIMIT_MS = 30_000;

const isSubscribed = (peripheral: Peripheral): boolean => peripheral.subscription(BATTERY.energyStatus) !== 'off';

async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await pause(2);
}

async function latency(say: (line: string) => void): Promise<Figure[]> {
  const air = await openAir(['agent', 'one', 'same']);
  const served = [await agentOn(air, ['agent']), await bareOn(air, 'one', 'one'), await bareOn(air, 'same', 'same')];
  try {
    const waits = [awaiting(), awaiting(), awaiting()] as const;
    const taps = [
      await tapLive(served[0]!.url, reading => waits[0].told(reading.quantities.outputPowerW)),
      await tapBare(served[1]!.url, quantities => waits[1].told(quantities.outputPowerW)),
      await tapBare(served[2]!.url, quantities => waits[2].told(quantities.outputPowerW)),
    ];
    await until(() => air.peripherals.every(isSubscribed));
    const [agent, one, same] = air.peripherals.map((peripheral, i) =>
      laneOf(watts => peripheral.tell(BATTERY.energyStatus, outputValue(watts)), waits[i]!.expect, MOST_W),
    ) as [ReturnType<typeof laneOf>, ReturnType<typeof laneOf>, ReturnType<typeof laneOf>];
    say('warming up');
    await pause(1_000);
    for (const lane of [agent, one, same]) await burst(lane, WARM_UP, VALUE_MS);
    say(`${ROUNDS} rounds of ${VALUES} notifications on each of three roads`);
    const taken = await takeTurns(ROUNDS, {
      agent: () => burst(agent, VALUES, VALUE_MS),
      one: () => burst(one, VALUES, VALUE_MS),
      same: () => burst(same, VALUES, VALUE_MS),
    });
    for (const tap of taps) tap.close();
    return latencyFigures(taken.agent, taken.one, taken.same);
  } finally {
    for (const road of served) await road.end();
    await air.close();
  }
}

function latencyFigures(agent: number[][], one: number[][], same: number[][]): Figure[] {
  const samples = `${ROUNDS} rounds × ${VALUES}`;
  return [['p50', 0.5] as const, ['p99', 0.99] as const].flatMap(([words, p]): Figure[] => {
    const [value, simple, floor] = [ofRounds(agent, p), ofRounds(one, p), ofRounds(same, p)];
    const goal = p === 0.5 ? atMost(floor + ALLOWED_MS, `≤ floor + ${ALLOWED_MS}`) : atMostTimes(2, floor);
    const name = `notification → client, ${words}`;
    const floorIs = 'library → process that parses → back → socket';
    return [
      { name, unit: 'ms', value, floor, floorIs, goal, samples },
      {
        name: `${name}, beside one process`,
        unit: 'ms',
        value,
        floor: simple,
        floorIs: 'library → socket in one process',
        samples,
      },
    ];
  });
}

/** Readings are numbered within a session, and none ends here. */
const acceptedBy = async (url: string): Promise<number> => {
  const told = await Promise.all(
    STATIONS.map(async name => (await (await fetch(`${url}api/stations/${name}/now`)).json()) as NowAnswer),
  );
  return told.reduce((sum, { reading }) => sum + (reading?.seq ?? 0), 0);
};

/** Tells a new value every 50 ms on each peripheral, and the level every second so that nothing need be asked. */
async function flood(air: Air, url: string): Promise<{ sent: number; unread: number; unseen: number }> {
  const seen = new Map(STATIONS.map(name => [name, new Set<number>()]));
  const tap = await tapLive(url, reading => {
    const { station, quantities } = reading as TappedReading & { station: string };
    seen.get(station)?.add(quantities.outputPowerW ?? -1);
  });
  await until(() => air.peripherals.every(isSubscribed));
  for (const peripheral of air.peripherals) peripheral.tell(BATTERY.level, levelValue(71));
  await pause(2_500);
  const before = await acceptedBy(url);
  const beganMs = performance.now();
  for (let i = 0; i < EACH; i++) {
    for (const [k, peripheral] of air.peripherals.entries()) {
      if (i % A_SECOND === 0) peripheral.tell(BATTERY.level, levelValue(71));
      peripheral.tell(BATTERY.energyStatus, outputValue(100 + i + k));
    }
    await pause(Math.max(0, beganMs + (i + 1) * EACH_MS - performance.now()));
  }
  await pause(500);
  const accepted = (await acceptedBy(url)) - before;
  tap.close();
  const sent = EACH * STATIONS.length;
  const levels = Math.ceil(EACH / A_SECOND) * STATIONS.length;
  const wanted = STATIONS.flatMap((name, k) => Array.from({ length: EACH }, (_, i) => ({ name, watts: 100 + i + k })));
  const unseen = wanted.filter(({ name, watts }) => !seen.get(name)!.has(watts)).length;
  return { sent, unread: Math.max(0, sent + levels - accepted), unseen };
}

/** From what happens to the peripheral until its next reading is in the client, ms. */
async function backAfter(peripheral: Peripheral, url: string, happens: () => void): Promise<number> {
  const wait = awaiting(BACK_LIMIT_MS);
  const tap = await tapLive(url, reading => wait.told(reading.quantities.outputPowerW));
  const watts = 1_000 + Math.floor(Math.random() * 800);
  const beganMs = performance.now();
  happens();
  await until(() => !peripheral.isHeld);
  peripheral.set(BATTERY.energyStatus, outputValue(watts));
  await wait.expect(watts);
  tap.close();
  return performance.now() - beganMs;
}

async function stations(say: (line: string) => void): Promise<Figure[]> {
  const air = await openAir(STATIONS);
  const agent = await agentOn(air, STATIONS);
  try {
    say(`four stations at 20 Hz for ${(EACH * EACH_MS) / 1000} s`);
    const { sent, unread, unseen } = await flood(air, agent.url);
    say(`${LOSSES} lost links`);
    const first = air.peripherals[0]!;
    const back: number[] = [];
    for (let i = 0; i < LOSSES; i++) {
      back.push(await backAfter(first, agent.url, () => first.loseLink()));
      await pause(1_000);
    }
    await until(() => air.peripherals.every(isSubscribed));
    say('one radio that crashes');
    const crash = await backAfter(first, agent.url, () => first.sendBroken('notification'));
    return [
      { name: 'values lost, 4 stations at 20 Hz', unit: '', value: unread, goal: atMost(0), samples: `${sent} values` },
      {
        name: 'of those read, not seen by a client (the newest wins)',
        unit: '',
        value: unseen,
        samples: `${sent} values`,
      },
      { name: 'lost link → next reading in the client', unit: 'ms', value: median(back), samples: `${LOSSES} losses` },
      {
        name: 'radio crashed → next reading in the client',
        unit: 'ms',
        value: crash,
        goal: atMost(CRASH_ALLOWED_MS),
        samples: 'one crash, four stations',
      },
    ];
  } finally {
    await agent.end();
    await air.close();
  }
}

const NOT_INSTALLED = '@abandonware/noble is not installed';

export const radio: Bench = {
  name: 'radio',
  title: 'Radio: notification of a simulated peripheral → value in a WebSocket client',
  run: async say => (hasNoble() ? latency(say) : [unmeasured('notification → client', NOT_INSTALLED)]),
};

export const radioStations: Bench = {
  name: 'radio-stations',
  title: 'Radio: four stations at once, and what losses cost',
  run: async say => (hasNoble() ? stations(say) : [unmeasured('four stations', NOT_INSTALLED)]),
};
