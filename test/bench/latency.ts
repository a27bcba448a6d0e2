/**
 * A byte written into the pseudo-terminal until its value is in a WebSocket client, ms. Writer and client are this
 * process, so one clock times both ends. Lines keep below 40 a second: an adapter's ceiling is 50.
 */
import { setTimeout as pause } from 'node:timers/promises';
import { atMost, atMostTimes, type Bench, type Figure, unmeasured } from './figure.ts';
import { type Awaiting, awaiting, burst, type Lane, laneOf } from './lane.ts';
import { tapBare, tapLive } from './live-tap.ts';
import { hasProgram } from './places.ts';
import { ofRounds, takeTurns } from './samples.ts';
import { agentRoad, bareRoad, lineOf, type Road } from './wire-road.ts';

const ROUNDS = 10;
const LINES = 150;
const WARM_UP_LINES = 100;
const LINE_MS = 26;
/** What the agent may add to a bare script of as many processes. */
const ALLOWED_MS = 1.5;

const MOST_W = 9_999;
const laneOn = (road: Road, expect: Awaiting['expect']): Lane =>
  laneOf(watts => road.pty.write(lineOf(watts)), expect, MOST_W);

async function openLanes(agent: Road, one: Road, three: Road) {
  const [a, b, c] = [awaiting(), awaiting(), awaiting()];
  const taps = [
    await tapLive(agent.served.url, reading => a.told(reading.quantities.outputPowerW)),
    await tapBare(one.served.url, quantities => b.told(quantities.outputPowerW)),
    await tapBare(three.served.url, quantities => c.told(quantities.outputPowerW)),
  ];
  return {
    agent: laneOn(agent, a.expect),
    one: laneOn(one, b.expect),
    three: laneOn(three, c.expect),
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
      for (const lane of [lanes.agent, lanes.one, lanes.three]) await burst(lane, WARM_UP_LINES, LINE_MS);
      say(`${ROUNDS} rounds of ${LINES} lines on each of three roads`);
      const taken = await takeTurns(ROUNDS, {
        agent: () => burst(lanes.agent, LINES, LINE_MS),
        one: () => burst(lanes.one, LINES, LINE_MS),
        three: () => burst(lanes.three, LINES, LINE_MS),
      });
      lanes.close();
      return figuresOf(taken.agent, taken.one, taken.three);
    } finally {
      for (const road of roads) await road.end();
    }
  },
};
