/** `wattkeep trial`: trials begun, looked at, ended, set side by side and reported; over the agent, or from its record. */
import { writeFileSync } from 'node:fs';
import { WattkeepError } from '#kit';
import { ComparisonAnswer, StationsAnswer, TrialAnswer, TrialsAnswer } from '#messages';
import { type Arguments, parseArguments } from '../settings/index.ts';
import { type AgentClient, agentOn } from './agent-client.ts';
import type { Invocation } from './invocation.ts';
import { numberWithin, usage } from './numbers.ts';
import { dataDirOf, openPast } from './open-past.ts';
import { clock } from './surroundings.ts';
import { START_VALUES, trialConditions, trialOptions } from './trial-options.ts';
import { comparisonTold, listTold, TRIAL_HELP, trialTold } from './trial-words.ts';
import { type PastTrials, pastTrials } from './trials/past.ts';

interface Asked {
  readonly words: readonly string[];
  readonly values: Arguments['values'];
  readonly switches: Arguments['switches'];
  readonly data: string | undefined;
  readonly version: string;
  say(json: unknown, text: string): number;
}

const DOES: Readonly<Record<string, (asked: Asked) => Promise<number>>> = {
  list,
  start,
  show,
  compare,
  report,
  end: asked => change(asked, { do: 'end' }),
  remove: asked => change(asked, { do: 'remove' }),
  step: asked => change(asked, { do: 'step', step: asked.words[1] }),
  meter: asked => change(asked, { do: 'meter', energyWh: numberWithin('The count', asked.words[1], 0, 1e9) }),
};

export async function trial({ argv, version }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['data', 'station', 'out', ...START_VALUES],
    switches: ['json', 'help', 'large', 'place', 'clock'],
  });
  const [what, ...rest] = words;
  if (switches.has('help') || what === undefined) {
    process.stdout.write(TRIAL_HELP);
    return switches.has('help') ? 0 : 2;
  }
  const does = Object.hasOwn(DOES, what) ? DOES[what] : undefined;
  if (does === undefined)
    throw usage(`trial does not know "${what.slice(0, 40)}".`, `Known: ${Object.keys(DOES).join(', ')}.`);
  const say = (json: unknown, text: string) => {
    process.stdout.write(switches.has('json') ? `${JSON.stringify(json)}\n` : `${text}\n`);
    return 0;
  };
  return does({ words: rest, values, switches, data: values.get('data')?.[0], version, say });
}

const path = (id: string, more = '') => `/api/trials/${encodeURIComponent(id)}${more}`;

/** The running agent, or the record where none runs. */
async function either<T>(
  { data, version }: Asked,
  byAgent: (agent: AgentClient) => Promise<T>,
  byRecord: (past: PastTrials) => T,
): Promise<T> {
  try {
    return await byAgent(agentOn(dataDirOf(data)));
  } catch (error) {
    if (!(error instanceof WattkeepError) || error.code !== 'AGENT_AWAY') throw error;
  }
  const { record, demo } = openPast(data);
  try {
    return byRecord(pastTrials(record, demo, version, clock.nowMs()));
  } finally {
    record.close();
  }
}

function idsOf({ words }: Asked, most: number): string[] {
  const ids = words.flatMap(word => word.split(',')).filter(id => id !== '');
  if (ids.length === 0 || ids.length > most)
    throw usage(
      ids.length === 0 ? 'Which trial?' : `At most ${most} ${most === 1 ? 'trial' : 'trials'} here.`,
      'wattkeep trial list tells their ids.',
    );
  return ids;
}

async function list(asked: Asked): Promise<number> {
  const station = asked.values.get('station')?.[0] ?? null;
  const query = station === null ? '' : `?station=${encodeURIComponent(station)}`;
  const trials = await either(
    asked,
    async agent => (await agent.ask(TrialsAnswer, `/api/trials${query}`)).trials,
    past => past.list(station),
  );
  return asked.say({ trials }, listTold(trials));
}

async function start(asked: Asked): Promise<number> {
  const options = trialOptions(asked.words[0], asked.values);
  const conditions = trialConditions(asked.values);
  const agent = agentOn(dataDirOf(asked.data));
  const station = asked.values.get('station')?.[0] ?? (await onlyStation(agent));
  const { trial: begun } = await agent.tell(TrialAnswer, '/api/trials', { station, options, conditions });
  return asked.say({ trial: begun }, trialTold(begun));
}

async function onlyStation(agent: AgentClient): Promise<string> {
  const { stations } = await agent.ask(StationsAnswer, '/api/stations');
  if (stations.length === 1) return stations[0]!.id;
  throw new WattkeepError(
    'STATION_UNKNOWN',
    stations.length === 0 ? 'There is no station yet.' : 'There is more than one station.',
    stations.length === 0
      ? 'Add one in Setup.'
      : `Name one with --station: ${stations.map(({ id }) => id).join(', ')}.`,
  );
}

async function show(asked: Asked): Promise<number> {
  const [id] = idsOf(asked, 1);
  const found = await either(
    asked,
    async agent => (await agent.ask(TrialAnswer, path(id!))).trial,
    past => past.one(id!),
  );
  return asked.say({ trial: found }, trialTold(found));
}

async function change(asked: Asked, body: object): Promise<number> {
  const [id] = asked.words;
  if (id === undefined) throw usage('Which trial?', 'wattkeep trial list tells their ids.');
  const { trial: now } = await agentOn(dataDirOf(asked.data)).put(TrialAnswer, path(id), body);
  const removed = 'do' in body && body.do === 'remove';
  return asked.say({ trial: now }, removed ? `${id} is removed.` : trialTold(now));
}

async function compare(asked: Asked): Promise<number> {
  const ids = idsOf(asked, 8);
  const answer = await either(
    asked,
    agent => agent.ask(ComparisonAnswer, `/api/trials/compare?ids=${encodeURIComponent(ids.join(','))}`),
    past => past.compare(ids),
  );
  return asked.say(answer, comparisonTold(answer));
}

async function report(asked: Asked): Promise<number> {
  const ids = idsOf(asked, 8);
  const on = (name: string) => asked.switches.has(name);
  const query = new URLSearchParams({ ids: ids.join(',') });
  for (const name of ['large', 'place', 'clock']) if (on(name)) query.set(name, '1');
  const page = await either(
    asked,
    agent => agent.text(`/api/trials/report?${query}`),
    past => past.report(ids, { large: on('large'), place: on('place'), clock: on('clock') }),
  );
  const out = asked.values.get('out')?.[0];
  if (out === undefined) process.stdout.write(page);
  else writeFileSync(out, page);
  return 0;
}
