/**
 * `wattkeep import FILE`: a recording appended to a station's past. A dry run unless --write is given: it reads every
 * row, says what would be added, and changes nothing.
 */
import { readFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { type Reading, WattkeepError } from '#kit';
import type { StationSettings } from '#messages';
import { parseRecording } from '../exchange/read-recording.ts';
import { defaultPaths, loadSettings, parseArguments } from '../settings/index.ts';
import { openRecord } from '../store/open.ts';
import type { Invocation } from './invocation.ts';
import { dataDirOf } from './open-past.ts';
import { factsOf } from './run/station-facts.ts';
import { clock, machineZone, newId } from './surroundings.ts';
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
  if (!switches.has('write')) {
    process.stdout.write(wouldImport(station.name, counts));
    return 0;
  }
  const record = openRecord(join(dataDirOf(option('data')), 'record'), { nowMs: clock.nowMs, commitIntervalMs: 0 });
  try {
    const last = record.savedState().lastSavedAt;
    refuseOlder(readings, last);
    const facts = factsOf(station, typicalIntervalMs(readings), machineZone());
    process.stdout.write(
      imported(station.name, takeRecording(readings, facts, record, record.latest(station.id)?.at ?? null)),
    );
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

/** A record only grows at its end. */
function refuseOlder(readings: readonly Reading[], lastAt: number | null): void {
  const first = readings[0];
  if (first === undefined || lastAt === null || first.at >= lastAt) return;
  throw new WattkeepError(
    'IMPORT_ROW',
    `The recording begins at ${new Date(first.at).toISOString()}, before the record's last reading at ${new Date(lastAt).toISOString()}.`,
    'Import it into a fresh data folder, or cut off the rows before that instant.',
  );
}

/** The middle distance of two rows: what a recording without a manifest says about its interval. */
function typicalIntervalMs(readings: readonly Reading[]): number {
  const distances = readings.slice(1, 1001).map((r, i) => r.at - readings[i]!.at);
  distances.sort((a, b) => a - b);
  return Math.max(1000, distances[Math.floor(distances.length / 2)] ?? 60_000);
}
