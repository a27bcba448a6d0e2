/**
 * `wattkeep import FILE`: a recording into a station's past: before it, in its gaps, after it. A dry run unless --write
 * is given: it reads every row, says what would be added and what days would gain, and changes nothing. The file is read
 * twice, so that it may be of any length.
 */
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { homedir, tmpdir } from 'node:os';
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import type { KeptReading, StationSettings } from '#messages';
import type { RecordingCounts } from '../exchange/read-recording.ts';
import { defaultPaths, loadSettings, parseArguments } from '../settings/index.ts';
import { type OpenedRecord, openRecord } from '../store/open.ts';
import { createRowsTaker, type RowsTaken } from './import-rows.ts';
import { IMPORT_AGAIN, IMPORT_HELP, imported, savedBefore, wouldImport } from './import-words.ts';
import type { Invocation } from './invocation.ts';
import { dataDirOf } from './open-past.ts';
import { readRecordingFile } from './recording-file.ts';
import { factsOf } from './run/station-facts.ts';
import { clock, machineZone, newId } from './surroundings.ts';

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
  const write = switches.has('write');
  const seen = await look(file);
  const dir = join(dataDirOf(option('data')), 'record');
  const taken = await withRecord(dir, write, record => takeRows(file, seen, record, station, write));
  process.stdout.write((write ? imported : wouldImport)(station.name, seen.counts, taken));
  return 0;
}

interface Seen {
  counts: RecordingCounts;
  intervalMs: number;
}

/** Reads every row once; what is wrong in the last one is said before the first one is saved. */
async function look(file: string): Promise<Seen> {
  const rows = readRecordingFile(file, { station: '', session: '' });
  const first: KeptReading[] = [];
  for (;;) {
    const step = await rows.next();
    if (step.done === true) return { counts: step.value, intervalMs: typicalIntervalMs(first) };
    for (const row of step.value) if (first.length <= LOOKED_AT && row.meanOverMs === undefined) first.push(row);
  }
}

async function takeRows(
  file: string,
  { counts, intervalMs }: Seen,
  record: OpenedRecord,
  station: StationSettings,
  write: boolean,
): Promise<RowsTaken> {
  const facts = factsOf(station, intervalMs, machineZone());
  const bounds = { fromMs: counts.fromMs ?? 0, toMs: counts.toMs ?? 0 };
  const taker = createRowsTaker(record, { station: station.id, facts, ...bounds, nowMs: clock.nowMs(), write });
  try {
    for await (const batch of readRecordingFile(file, { station: station.id, session: newId() }))
      for (const reading of batch) taker.add(reading);
    return taker.end();
  } catch (error) {
    throw stopped(error, taker.saved());
  }
}

/** What was saved before it stays, and is known when the file is read again. */
function stopped(error: unknown, saved: number): unknown {
  if (!(error instanceof WattkeepError) || saved === 0) return error;
  return new WattkeepError(error.code, `${error.message}; ${savedBefore(saved)}`, IMPORT_AGAIN, { cause: error });
}

/** A dry run of what would be the first record is made beside an empty one. */
async function withRecord<T>(dir: string, write: boolean, act: (record: OpenedRecord) => Promise<T>): Promise<T> {
  const empty = !write && !existsSync(join(dir, 'record.db')) ? mkdtempSync(join(tmpdir(), 'wattkeep-import-')) : null;
  const readOnly = !write && empty === null;
  try {
    const record = openRecord(empty ?? dir, { nowMs: clock.nowMs, commitIntervalMs: 0, readOnly });
    try {
      return await act(record);
    } finally {
      record.close();
    }
  } finally {
    if (empty !== null) rmSync(empty, { recursive: true, force: true });
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

const LOOKED_AT = 1000;

/** The middle distance of two rows, as lived: what a recording without a manifest says about its interval. */
function typicalIntervalMs(readings: readonly KeptReading[]): number {
  const distances = readings.slice(1).map((r, i) => {
    const before = readings[i]!;
    return r.session === before.session ? r.monoMs - before.monoMs : r.at - before.at;
  });
  distances.sort((a, b) => a - b);
  return Math.max(1000, distances[Math.floor(distances.length / 2)] ?? 60_000);
}
