/** How `wattkeep outlast` was asked: its options, checked, with what the settings say of the station behind them. */
import { homedir } from 'node:os';
import type { InputSource } from '#kit';
import { WattkeepError } from '#kit';
import { isZone, type StationSettings } from '#messages';
import { defaultPaths, loadSettings, parseArguments } from '../settings/index.ts';
import { numberWithin, usage } from './numbers.ts';
import { machineZone } from './surroundings.ts';

const EXAMPLE = 'Example: --recording night.csv.gz --rated-wh 1640.';
const SOURCES: readonly InputSource[] = ['sun', 'wall', 'vehicle', 'generator'];
const DEFAULT_FLOOR_PCT = 10;
const DEFAULT_EVERY_S = 60;

export interface OutlastOptions {
  recording: string;
  /** Earlier recordings, oldest first. */
  after: readonly string[];
  ratedWh: number | null;
  floorPct: number;
  everyMs: number;
  zone: string;
  /** What the input is where a row does not tell; unknown is taken as sun by day. */
  input: InputSource;
  /** null where no settings file was named. */
  station: StationSettings | null;
  json: boolean;
}

/** @returns null where help is asked for @throws WattkeepError USAGE, STATION_UNKNOWN, SETTINGS_… */
export function outlastOptions(argv: readonly string[]): OutlastOptions | null {
  const { values, switches, words } = parseArguments(argv, {
    values: ['recording', 'rated-wh', 'floor', 'every', 'zone', 'input', 'settings', 'station', 'after'],
    repeatable: ['after'],
    switches: ['json', 'help'],
  });
  if (switches.has('help')) return null;
  const option = (name: string) => values.get(name)?.[0];
  // `--after one.csv two.csv` leaves the second one a word.
  const after = values.has('after') ? [...values.get('after')!, ...words] : [];
  if (after.length === 0 && words[0] !== undefined)
    throw usage(`${words[0].slice(0, 40)} is not understood here.`, EXAMPLE);
  const recording = option('recording');
  if (recording === undefined) throw usage('The recording is missing.', `Add --recording FILE. ${EXAMPLE}`);
  const station = stationIn(option('settings'), option('station'));
  return {
    recording,
    after,
    ratedWh: numberWithin('--rated-wh', option('rated-wh'), 10, 200_000) ?? station?.ratedWh ?? null,
    floorPct: numberWithin('--floor', option('floor'), 0, 90) ?? station?.reserveFloorPct ?? DEFAULT_FLOOR_PCT,
    everyMs: 1000 * (numberWithin('--every', option('every'), 1, 86_400) ?? DEFAULT_EVERY_S),
    zone: zoneFrom(option('zone')) ?? station?.zone ?? machineZone(),
    input: inputFrom(option('input')) ?? station?.inputSource ?? 'unknown',
    station,
    json: switches.has('json'),
  };
}

function zoneFrom(zone: string | undefined): string | undefined {
  if (zone === undefined || isZone(zone)) return zone;
  throw usage(`--zone is ${zone.slice(0, 40)}, which is not known.`, 'Give an IANA time zone such as Europe/Lisbon.');
}

function inputFrom(text: string | undefined): InputSource | undefined {
  if (text === undefined) return undefined;
  const found = SOURCES.find(source => source === text);
  if (found === undefined) throw usage(`--input is ${text.slice(0, 40)}.`, `Give one of ${SOURCES.join(', ')}.`);
  return found;
}

function stationIn(settingsFile: string | undefined, asked: string | undefined): StationSettings | null {
  if (settingsFile === undefined && asked === undefined) return null;
  const paths = defaultPaths(process.platform, process.env, homedir());
  const { settings } = loadSettings(settingsFile ?? (process.env.WATTKEEP_SETTINGS || paths.settingsFile));
  const only = settings.station.length === 1 ? settings.station[0] : undefined;
  const found = asked === undefined ? only : settings.station.find(s => s.id === asked);
  if (found !== undefined) return found;
  throw new WattkeepError(
    'STATION_UNKNOWN',
    asked === undefined ? 'Name the station with --station ID.' : `There is no station "${asked}" in the settings.`,
    `In the settings: ${settings.station.map(s => s.id).join(', ') || 'none yet; add one in Setup'}.`,
  );
}
