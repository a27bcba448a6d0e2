/**
 * A byte written into the pseudo-terminal until its value is in a WebSocket client, ms. Writer and client are this
 * process, so one clock times both ends. Lines keep below 40 a second: an adapter's ceiling is 50.
 */
import { setTimeout as pause } from 'node:timers/promises';
import { atMost, atMostTimes, type Bench, type Figure, unmeasured } from './figure.ts';
import { tapBare, tapLive } from './live-tap.ts';
import { hasProgram } from './places.ts';
import { ofRounds, takeTurns } from './samples.ts';
import { agentRoad, bareRoad, lineOf, type Road } from './wire-road.ts';

const ROUNDS = 10;
const LINES = 150;
const WARM_UP_LINES = 100;
const LINE_MS = 26;
const LOST_AFTER_MS = 5_000;
/** What the agent may add to a bare script of as many processes. */
const ALLOWED_MS = 1.5;

interface Lane {
  /** Sends one line and waits for it; ms. */
  send(): Promise<number>;
}

function laneOf(road: Road, expect: (outputPowerW: number) => Promise<void>): Lane {
  let last = 100;
  return {
    async send() {
      last = last >= 9_999 ? 100 : last + 1;
      const arrival = expect(last);
      const sentMs = performance.now();
      road.pty.write(lineOf(last));
      await arrival;
      return performance.now() - sentMs;
    },
  };
}

/** Resolves when the value asked for is told; rejects where it never comes. */
function awaiting() {
  let wanted: { watts: number; found: () => void } | null = null;
  return {
    told(watts: number | null | undefined): void {
      if (wanted?.watts === watts) wanted?.found();
    },
    expect: (watts: number): Promise<void> =>
      new Promise((resolve, reject) => {
        const timer = setTimeout(() => reject(new Error('a line never arrived')), LOST_AFTER_MS);
        const found = () => {
          wanted = null;
          clearTimeout(timer);
          resolve();
        };
        wanted = { watts, found };
      }),
  };
}

async function burst(lane: Lane, lines: number): Promise<number[]> {
  const took: number[] = [];
  for (let i = 0; i < lines; i++) {
    const ms = await lane.send();
    took.push(ms);
    await pause(Math.max(0, LINE_MS - ms) + Math.random() * 6);
  }
  return took;
}

async function openLanes(agent: Road, one: Road, three: Road) {
  const [a, b, c] = [awaiting(), awaiting(), awaiting()];
  const taps = [
    await tapLive(agent.served.url, reading => a.told(reading.quantities.outputPowerW)),
    await tapBare(one.served.url, quantities => b.told(quantities.outputPowerW)),
    await tapBare(three.served.url, quantities => c.told(quantities.outputPowerW)),
  ];
  return {
    agent: laneOf(agent, a.expect),
    one: laneOf(one, b.expect),
    three: laneOf(three, c.expect),
    close: () => {
      for (const tap of taps) tap.close();
    },
  };
}

function figuresOf(agent: number[][], one: number[][], three: number[][]): Figure[] {
  const samples = `${ROUNDS} rounds × ${LINES}`;
  const figures: Figure[] = [];
  for (const [words, p] of [
    ['p50', 0.5],
    ['p99', 0.99],
  ] as const) {
    const [value, simple, same] = [ofRounds(agent, p), ofRounds(one, p), ofRounds(three, p)];
    const goal = p === 0.5 ? atMost(same + ALLOWED_MS, `≤ floor + ${ALLOWED_MS}`) : atMostTimes(2, same);
    const name = `pty → client, ${words}`;
    const floorIs = 'serial port → process that parses → back → socket';
    figures.push(
      { name, unit: 'ms', value, floor: same, floorIs, goal, samples },
      {
        name: `${name}, beside one process`,
        unit: 'ms',
        value,
        floor: simple,
        floorIs: 'serial port → socket in one process',
        samples,
      },
    );
  }
  return figures;
}

export const latency: Bench = {
  name: 'latency',
  title: 'Latency: byte into the pseudo-terminal → value in a WebSocket client',
  async run(say) {
    if (!hasProgram('socat')) return [unmeasured('pty → client', 'socat is missing: install it and run again')];
    const roads = [await agentRoad(), await bareRoad('one'), await bareRoad('three')] as const;
    try {
      const lanes = await openLanes(...roads);
      say('warming up');
      // The agent's link opens a moment after its address: the first line may take longer.
      await pause(2_000);
      for (const lane of [lanes.agent, lanes.one, lanes.three]) await burst(lane, WARM_UP_LINES);
      say(`${ROUNDS} rounds of ${LINES} lines on each of three roads`);
      const taken = await takeTurns(ROUNDS, {
        agent: () => burst(lanes.agent, LINES),
        one: () => burst(lanes.one, LINES),
        three: () => burst(lanes.three, LINES),
      });
      lanes.close();
      return figuresOf(taken.agent, taken.one, taken.three);
    } finally {
      for (const road of roads) await road.end();
    }
  },
};
