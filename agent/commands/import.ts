/**
 * `wattkeep import FILE`: a recording into a station's past: before it, in its gaps, after it. A dry run unless --write
 * is given: it reads every row, says what would be added, and changes nothing.
 */
import { existsSync, readFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { type Reading, WattkeepError } from '#kit';
import type { StationSettings } from '#messages';
import { parseRecording } from '../exchange/read-recording.ts';
import { defaultPaths, loadSettings, parseArguments } from '../settings/index.ts';
import { openRecord } from '../store/open.ts';
import type { Invocation } from './invocation.ts';
import { planImport } from './older-rows.ts';
import { dataDirOf } from './open-past.ts';
import { factsOf } from './run/station-facts.ts';
import { clock, machineZone, newId } from './surroundings.ts';
import { takeOlder } from './take-older.ts';
import { takeRecording } from './take-recording.ts';
import { IMPORT_HELP, imported, wouldImport } from './words.ts';

export async function importRecording({ argv }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['data', 'settings', 'station'],
    switches: ['write', 'help'],
  });
  const option = (name: string) => values.get(name)?.at(-1);
  const [file] = words;
  if (switches.has('help') || file === undefined) {
    process.stdout.write(IMPORT_HELP);
    return switches.has('help') ? 0 : 2;
  }
  const station = stationIn(option('settings'), option('station'));
  const { readings, counts } = parseRecording(readRecordingFile(file), { station: station.id, session: newId() });
  const dir = join(dataDirOf(option('data')), 'record');
  const intervalMs = typicalIntervalMs(readings);
  const write = switches.has('write');
  if (!write && !existsSync(join(dir, 'record.db'))) {
    process.stdout.write(wouldImport(station.name, counts, null));
    return 0;
  }
  const record = openRecord(dir, { nowMs: clock.nowMs, commitIntervalMs: 0, readOnly: !write });
  try {
    const plan = planImport(readings, record, station.id, intervalMs);
    if (!write) process.stdout.write(wouldImport(station.name, counts, plan));
    else {
      const facts = factsOf(station, intervalMs, machineZone());
      for (const hole of plan.holes) takeOlder(hole, facts, record);
      const taken = takeRecording(plan.newer, facts, record, record.latest(station.id)?.at ?? null);
      process.stdout.write(imported(station.name, taken, plan));
    }
  } finally {
    record.close();
  }
  return 0;
}

function readRecordingFile(file: string): Uint8Array {
  try {
    return readFileSync(file);
  } catch (cause) {
    throw new WattkeepError('USAGE', `${file} cannot be read.`, 'Name a recording in CSV.', { cause });
  }
}

function stationIn(settingsFile: string | undefined, asked: string | undefined): StationSettings {
  const paths = defaultPaths(process.platform, process.env, homedir());
  const { settings } = loadSettings(settingsFile ?? (process.env.WATTKEEP_SETTINGS || paths.settingsFile));
  const found =
    asked === undefined && settings.station.length === 1
      ? settings.station[0]
      : settings.station.find(s => s.id === asked);
  if (found !== undefined) return found;
  throw new WattkeepError(
    'STATION_UNKNOWN',
    asked === undefined ? 'Name the station with --station ID.' : `There is no station "${asked}" in the settings.`,
    `In the settings: ${settings.station.map(s => s.id).join(', ') || 'none yet; add one in Setup'}.`,
  );
}

/** The middle distance of two rows: what a recording without a manifest says about its interval. */
function typicalIntervalMs(readings: readonly Reading[]): number {
  const distances = readings.slice(1, 1001).map((r, i) => r.at - readings[i]!.at);
  distances.sort((a, b) => a - b);
  return Math.max(1000, distances[Math.floor(distances.length / 2)] ?? 60_000);
}
