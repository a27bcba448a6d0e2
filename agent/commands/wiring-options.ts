/** Reads the command line of `wattkeep wiring`: panels, ports, leads and weather, with what may be typed of each. */
import { type Lead, type Panel, type Port, panelOf, portOf, type Weather } from '#energy/wiring/index';
import { nearestName } from '#kit/nearest';
import { type Arguments, parseArguments } from '../settings/index.ts';
import { numberWithin, usage } from './numbers.ts';

/** Least and most of a number. */
type Range = readonly [number, number];

const PANEL: Readonly<Record<string, Range>> = {
  voc: [0.01, 1500],
  isc: [0.001, 200],
  vmp: [0.01, 1500],
  imp: [0.001, 200],
  'voc-pct-per-k': [-1, -0.001],
  'power-pct-per-k': [-1, -0.001],
  'max-fuse': [0.1, 1000],
  'tolerance-pct': [0, 50],
  watts: [0.1, 10_000],
  count: [1, 100],
};
const PORT: Readonly<Record<string, Range>> = {
  vmin: [0, 1500],
  vmax: [0.1, 1500],
  imax: [0.01, 1000],
  wmax: [0.1, 100_000],
};
const LEAD: Readonly<Record<string, Range>> = { metres: [0.01, 1000], mm2: [0.05, 500], amps: [0.1, 1000] };
const PANEL_EXAMPLE = 'Example: --panel voc=22.4,isc=5.1,vmp=18.6,imp=4.84,voc-pct-per-k=-0.31,max-fuse=10.';
const PORT_EXAMPLE = 'Example: --port vmin=16,vmax=82,imax=9,wmax=400.';

export interface WiringOptions {
  help: boolean;
  json: boolean;
  panels: Panel[];
  ports: Port[];
  weather: Weather;
  /** What a meter shows, V. */
  meterV: number | undefined;
  /** The way that the reading is of, [series, parallel]; else the best. */
  as: readonly [number, number] | undefined;
  light: 'bright' | 'cloudy';
  airC: number | null;
}

/** @throws WattkeepError USAGE */
export function wiringOptions(argv: readonly string[]): WiringOptions {
  const given = parseArguments(argv, {
    values: ['panel', 'count', 'port', 'lead', 'coldest', 'hottest', 'meter', 'as', 'light', 'air'],
    repeatable: ['panel', 'port', 'lead'],
    switches: ['json', 'help'],
  });
  const help = given.switches.has('help');
  const nothing = { panels: [], ports: [], weather: { coldestC: null, hottestC: null } };
  const told = { help, json: given.switches.has('json'), ...atTheMeter(given) };
  if (help) return { ...told, ...nothing };
  if (given.words[0] !== undefined)
    throw usage(`${given.words[0].slice(0, 40)} is not understood here.`, PANEL_EXAMPLE);
  return { ...told, panels: panelsFrom(given), ports: portsFrom(given), weather: weatherFrom(given) };
}

const one = (given: Arguments, name: string) => given.values.get(name)?.[0];

/** `key=value,key=value`, numbers checked. */
function pairsOf(option: string, text: string, numbers: Readonly<Record<string, Range>>, words: readonly string[]) {
  const found = new Map<string, string>();
  const known = [...Object.keys(numbers), ...words];
  for (const pair of text.split(',')) {
    const equals = pair.indexOf('=');
    const key = pair.slice(0, equals < 0 ? undefined : equals).trim();
    const value = equals < 0 ? '' : pair.slice(equals + 1).trim();
    if (!known.includes(key)) {
      const near = nearestName(key, known);
      const meant = near === null ? '' : `Did you mean ${near}? `;
      throw usage(`${key.slice(0, 40)} is nothing that --${option} knows.`, `${meant}Known here: ${known.join(', ')}.`);
    }
    if (value === '') throw usage(`${key} in --${option} has no value.`, `Write ${key}=VALUE, or leave it out.`);
    if (found.has(key)) throw usage(`${key} is given twice in one --${option}.`, 'Give it once.');
    found.set(key, value);
  }
  const number = (key: string) =>
    numberWithin(`${key} in --${option}`, found.get(key), numbers[key]![0], numbers[key]![1]);
  return { number, word: (key: string) => found.get(key) };
}

function panelsFrom(given: Arguments): Panel[] {
  const texts = given.values.get('panel') ?? [];
  if (texts.length === 0) throw usage('The panel is missing.', `Add --panel. ${PANEL_EXAMPLE}`);
  if (texts.length > 2)
    throw usage(`${texts.length} kinds of panel are given.`, 'Give one or two; mixing more is no help.');
  const count = wholeWithin('--count', numberWithin('--count', one(given, 'count'), 1, 100));
  return texts.map((text, i) => panelFrom(text, texts.length === 1 ? 'the panel' : `panel ${i + 1}`, count));
}

function panelFrom(text: string, nameless: string, counted: number | undefined): Panel {
  const { number, word } = pairsOf('panel', text, PANEL, ['build', 'name']);
  const build = word('build');
  if (build !== undefined && build !== 'rigid' && build !== 'folding') {
    throw usage(`build in --panel is ${build.slice(0, 40)}.`, 'Write build=rigid or build=folding.');
  }
  const panel = panelOf({
    name: word('name') ?? nameless,
    count: wholeWithin('count in --panel', number('count')) ?? counted ?? 1,
    ratedW: number('watts'),
    openCircuitV: number('voc'),
    shortCircuitA: number('isc'),
    maxPowerV: number('vmp'),
    maxPowerA: number('imp'),
    openCircuitPctPerK: number('voc-pct-per-k'),
    powerPctPerK: number('power-pct-per-k'),
    maxSeriesFuseA: number('max-fuse'),
    tolerancePct: number('tolerance-pct'),
    build,
  });
  notAbove('vmp', number('vmp'), 'voc', number('voc'));
  notAbove('imp', number('imp'), 'isc', number('isc'));
  return panel;
}

function portsFrom(given: Arguments): Port[] {
  const texts = given.values.get('port') ?? [];
  if (texts.length === 0) throw usage('The port is missing.', `Add --port. ${PORT_EXAMPLE}`);
  const leads = (given.values.get('lead') ?? []).map(leadFrom);
  if (leads.length > 1 && leads.length !== texts.length) {
    throw usage(
      `${leads.length} leads are given for ${texts.length} ports.`,
      'Give one for all, or one for each port.',
    );
  }
  const ports = texts.map((text, i) => {
    const { number, word } = pairsOf('port', text, PORT, ['over-current', 'name', 'station']);
    const over = word('over-current');
    if (over !== undefined && over !== 'allowed') {
      throw usage(`over-current in --port is ${over.slice(0, 40)}.`, 'Write over-current=allowed, or leave it out.');
    }
    notAbove('vmin', number('vmin'), 'vmax', number('vmax'));
    return portOf({
      name: word('name') ?? (texts.length === 1 ? 'the port' : `port ${i + 1}`),
      station: word('station'),
      minV: number('vmin'),
      maxV: number('vmax'),
      maxA: number('imax'),
      maxW: number('wmax'),
      overCurrentAllowed: over === 'allowed',
      lead: leads[leads.length === 1 ? 0 : i],
    });
  });
  const same = (a: Port, b: Port) => a.name === b.name && a.station === b.station;
  const twice = ports.find((port, i) => ports.findIndex(other => same(other, port)) !== i);
  if (twice !== undefined) throw usage(`Two ports are named ${twice.name}.`, 'Give each its own name.');
  return ports;
}

function leadFrom(text: string): Lead {
  const { number } = pairsOf('lead', text, LEAD, []);
  const or = (key: string) => number(key) ?? null;
  return { lengthM: or('metres'), conductorMm2: or('mm2'), plugA: or('amps') };
}

function weatherFrom(given: Arguments): Weather {
  const coldestC = numberWithin('--coldest', one(given, 'coldest'), -90, 60);
  const hottestC = numberWithin('--hottest', one(given, 'hottest'), -60, 70);
  if (coldestC === undefined) {
    throw usage('The coldest morning is missing.', 'Add --coldest with the lowest air temperature on record, in °C.');
  }
  notAbove('--coldest', coldestC, '--hottest', hottestC);
  return { coldestC, hottestC: hottestC ?? null };
}

function atTheMeter(given: Arguments): Pick<WiringOptions, 'meterV' | 'as' | 'light' | 'airC'> {
  const light = one(given, 'light') ?? 'bright';
  if (light !== 'bright' && light !== 'cloudy') {
    throw usage(`--light is ${light.slice(0, 40)}.`, 'Write --light bright or --light cloudy.');
  }
  const written = one(given, 'as');
  const parts = written === undefined ? undefined : /^(\d{1,3})x(\d{1,3})$/.exec(written);
  if (parts === null) throw usage(`--as is ${written!.slice(0, 40)}.`, 'Write SERIESxPARALLEL, such as --as 3x1.');
  return {
    meterV: numberWithin('--meter', one(given, 'meter'), -2000, 2000),
    as: parts === undefined ? undefined : [Number(parts[1]), Number(parts[2])],
    light,
    airC: numberWithin('--air', one(given, 'air'), -60, 60) ?? null,
  };
}

function wholeWithin(name: string, value: number | undefined): number | undefined {
  if (value === undefined || Number.isInteger(value)) return value;
  throw usage(`${name} is ${value}.`, 'Give a whole number.');
}

function notAbove(lowName: string, low: number | undefined, highName: string, high: number | undefined): void {
  if (low === undefined || high === undefined || low <= high) return;
  throw usage(`${lowName} (${low}) is above ${highName} (${high}).`, 'Look at the label and the manual again.');
}
