/** `wattkeep plan`: what the owner wants to run, held against the station, the sun and the hours of the wall. */
import { clearMonthsOf, lastingOf, sunPlan, verdictOf, wallPlanOf } from '#energy/estimates/plan/planning';
import { WattkeepError } from '#kit';
import { PlanAnswer, StationsAnswer } from '#messages';
import { parseArguments } from '../settings/index.ts';
import { type AgentClient, agentOn } from './agent-client.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { dataDirOf } from './open-past.ts';
import {
  lastingTold,
  loadsTold,
  NO_PLACE,
  NO_SIZE,
  NOTHING_PLANNED,
  PLAN_HELP,
  sunTold,
  wallTold,
} from './plan-words.ts';

export async function plan({ argv }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, { values: ['data', 'station'], switches: ['json', 'help'] });
  if (switches.has('help')) {
    process.stdout.write(PLAN_HELP);
    return 0;
  }
  if (words.length > 0) throw usage(`plan takes no ${words[0]}.`, 'wattkeep plan --help shows how.');
  const agent = agentOn(dataDirOf(values.get('data')?.[0]));
  const station = values.get('station')?.[0] ?? (await onlyStation(agent));
  const basis = await agent.ask(PlanAnswer, `/api/stations/${encodeURIComponent(station)}/plan`);
  const told = reckonedFor(basis);
  process.stdout.write(
    switches.has('json')
      ? `${JSON.stringify({ station, simulated: basis.simulated, ...told })}\n`
      : `${asText(basis, told)}\n`,
  );
  return 0;
}

async function onlyStation(agent: AgentClient): Promise<string> {
  const { stations } = await agent.ask(StationsAnswer, '/api/stations');
  if (stations.length === 1) return stations[0]!.id;
  const names = stations.map(({ id }) => id).join(', ');
  throw new WattkeepError(
    'STATION_UNKNOWN',
    stations.length === 0 ? 'There is no station yet.' : 'There is more than one station.',
    stations.length === 0 ? 'Add one in Setup.' : `Name one with --station: ${names}.`,
  );
}

/** All that can be said of the list as it is kept; null where something needed is not told. */
function reckonedFor(basis: PlanAnswer) {
  const { load, dullDays, outageReservePct } = basis.plan;
  const verdict = verdictOf(basis, load);
  const loads = load.filter((_, i) => verdict.loads[i]!.verdict !== 'tooBig');
  const year = Number(basis.madeAt.slice(0, 4));
  const clear = clearMonthsOf(basis, year);
  const asked = { loads, dullDays, reservePct: outageReservePct ?? basis.floorPct, year };
  return {
    verdict,
    lasting: lastingOf(basis, loads),
    sun: clear === null ? null : sunPlan(basis, clear, asked),
    wall: wallPlanOf(basis, asked),
  };
}

function asText(basis: PlanAnswer, { verdict, lasting, sun, wall }: ReturnType<typeof reckonedFor>): string {
  if (basis.plan.load.length === 0) return NOTHING_PLANNED;
  return [
    loadsTold(basis.plan.load, verdict),
    lasting === null ? NO_SIZE : lastingTold(lasting, basis),
    sun === null ? NO_PLACE : sunTold(sun),
    ...(wall === null || basis.price === null ? [] : [wallTold(wall, basis.price.currency)]),
  ].join('\n\n');
}
