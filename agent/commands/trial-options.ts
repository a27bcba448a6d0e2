/** Options of `wattkeep trial start` as what the agent is asked; each checked once more by the contract's own schema. */
import * as v from 'valibot';
import { PRESUMED } from '#energy/estimates/trials/kinds';
import { TrialConditions, TrialOptions } from '#messages';
import type { Arguments } from '../settings/index.ts';
import { numberWithin, usage } from './numbers.ts';

/** As they are written on the command line; the names of the contract are taken as well. */
const KINDS: Readonly<Record<string, TrialOptions['kind']>> = {
  usable: 'usable',
  'own-draw': 'ownDraw',
  converter: 'converter',
  charge: 'charge',
  solar: 'solar',
  'two-sets': 'twoSets',
};

const NUMBERS = {
  'temp-min': 'tempMinC',
  'temp-max': 'tempMaxC',
  'own-watts-limit': 'ownWattsLimitPct',
  'battery-limit': 'batteryLimitPct',
  floor: 'floorPct',
  'narrow-pct': 'narrowPct',
  'narrow-w': 'narrowW',
  'longest-hours': 'longestHours',
  loads: 'loads',
  'from-pct': 'fromPct',
  'port-a': 'portA',
  'port-b': 'portB',
} as const;
const WORDS = ['source', 'how', 'discharge'] as const;
const METER = ['meter', 'meter-limit', 'meter-source', 'meter-step-w', 'meter-step-wh'] as const;

export const START_VALUES: readonly string[] = [
  ...Object.keys(NUMBERS),
  ...WORDS,
  ...METER,
  'a',
  'b',
  'note',
  'load',
  'air',
];

const EXAMPLE = 'wattkeep trial --help lists the options of each kind.';

/** @throws WattkeepError USAGE */
export function trialOptions(kind: string | undefined, values: Arguments['values']): TrialOptions {
  const named = kind === undefined ? undefined : (KINDS[kind] ?? Object.values(KINDS).find(one => one === kind));
  if (named === undefined)
    throw usage(
      kind === undefined ? 'Which kind of trial?' : `There is no kind of trial "${kind.slice(0, 40)}".`,
      `Known: ${Object.keys(KINDS).join(', ')}.`,
    );
  const one = (name: string) => values.get(name)?.[0];
  const number = (name: string) => numberWithin(`--${name}`, one(name), -1e9, 1e9);
  const told: Record<string, unknown> = { kind: named };
  const put = (key: string, value: unknown) => {
    if (value !== undefined) told[key] = value;
  };
  for (const [name, key] of Object.entries(NUMBERS)) put(key, number(name));
  for (const name of WORDS) put(name, one(name));
  for (const name of ['a', 'b'] as const) put(name, panelSet(name, one(name)));
  put('meter', meterOf(one, number));
  if (named === 'twoSets') told.how ??= 'alternated';
  if (named === 'charge') told.source ??= 'wall';
  const read = v.safeParse(TrialOptions, told);
  if (read.success) return read.output;
  const issue = read.issues[0];
  const path = v.getDotPath(issue);
  throw usage(`${path ?? 'An option'} does not fit a trial of this kind: ${issue.message}.`, EXAMPLE);
}

function panelSet(name: string, text: string | undefined) {
  if (text === undefined) return undefined;
  const at = text.lastIndexOf(':');
  if (at < 1) throw usage(`--${name} is ${text.slice(0, 40)}.`, `Write --${name} NAME:WATTS, such as "roof:200".`);
  return { name: text.slice(0, at), ratedW: numberWithin(`--${name}`, text.slice(at + 1), 1, 20_000) };
}

function meterOf(one: (name: string) => string | undefined, number: (name: string) => number | undefined) {
  const [source, name] = [one('meter-source'), one('meter')];
  if (source === undefined && name === undefined) {
    const stray = METER.find(option => one(option) !== undefined);
    if (stray !== undefined) throw usage(`--${stray} belongs to a meter.`, 'Name it with --meter NAME.');
    return undefined;
  }
  const steps = { stepW: number('meter-step-w'), stepWh: number('meter-step-wh') };
  return {
    source: source ?? null,
    name: name ?? source,
    limitPct: number('meter-limit') ?? PRESUMED.meterLimitPct,
    ...(steps.stepW === undefined ? {} : { stepW: steps.stepW }),
    ...(steps.stepWh === undefined ? {} : { stepWh: steps.stepWh }),
  };
}

/** @throws WattkeepError USAGE */
export function trialConditions(values: Arguments['values']): TrialConditions {
  const one = (name: string) => values.get(name)?.[0];
  const air = numberWithin('--air', one('air'), -40, 60);
  const told = {
    ...(one('note') === undefined ? {} : { note: one('note') }),
    ...(one('load') === undefined ? {} : { load: one('load') }),
    ...(air === undefined ? {} : { airTempC: air }),
  };
  const read = v.safeParse(TrialConditions, told);
  if (read.success) return read.output;
  throw usage(`--${v.getDotPath(read.issues[0]) ?? 'note'}: ${read.issues[0].message}.`, EXAMPLE);
}
