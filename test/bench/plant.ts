/**
 * How fast the simulated plant lives: a season in the coarse steps of a past, and days in whole seconds. Core time, so
 * that whatever else the machine does counts little; with each the energy that does not balance.
 */

import { PAST_GRID_MS } from '../../simulators/history.ts';
import { createShed, SHED_START_PCT, shedPlace } from '../../simulators/honey-shed.ts';
import { atMost, type Bench, type Figure } from './figure.ts';

const BORN_MS = Date.UTC(2026, 4, 1);
const DAY_S = 86_400;
const ROUNDS = 3;

/** Lives so many days and tells how much faster than real time, and what share of the input does not balance. */
function live(days: number, gridMs: number, seed: number): { times: number; astray: number } {
  const plant = createShed({
    seed,
    zone: 'UTC',
    startMs: BORN_MS,
    startPct: SHED_START_PCT,
    ...shedPlace('UTC', BORN_MS),
  });
  const storedWh = plant.storedWh();
  const before = process.cpuUsage();
  plant.step(BORN_MS + days * DAY_S * 1000, gridMs);
  const { user, system } = process.cpuUsage(before);
  const total = plant.ledger.total();
  const astrayWh = total.inputWh - total.outputWh - total.lossWh - (plant.storedWh() - storedWh);
  return { times: (days * DAY_S * 1e6) / (user + system), astray: Math.abs(astrayWh) / total.inputWh };
}

/** Core time of a lived day at 50,000 times real time, ms. */
const GOAL_MS = (DAY_S * 1000) / 50_000;

function figures(what: string, days: number, gridMs: number): Figure[] {
  const runs = Array.from({ length: ROUNDS }, (_, seed) => live(days, gridMs, seed + 1));
  const times = runs.map(run => run.times).sort((a, b) => a - b)[ROUNDS >> 1]!;
  return [
    {
      name: `${what}: core time of a day (${Math.round(times)} × real time)`,
      unit: 'ms',
      value: (DAY_S * 1000) / times,
      goal: atMost(GOAL_MS),
      samples: `median of ${ROUNDS} seeds, ${days} days`,
    },
    {
      name: `${what}: energy astray`,
      unit: '%',
      value: 100 * Math.max(...runs.map(run => run.astray)),
      goal: atMost(0.1),
      samples: `worst of ${ROUNDS} seeds, ${days} days`,
    },
  ];
}

export const plant: Bench = {
  name: 'plant',
  title: 'The simulated plant',
  run: async () => [...figures('a past, 20 s steps', 90, PAST_GRID_MS), ...figures('whole seconds', 3, 1000)],
};
