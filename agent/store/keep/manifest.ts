/**
 * The manifest beside a snapshot: what the file holds and the SHA-256 it has. A copy of a record that lacks what its
 * log held passes SQLite's own check; only this tells it from a whole one.
 */
import { createHash } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readFileSync,
  readSync,
  statSync,
  unlinkSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { WattkeepError } from '#kit';
import { asRecordError, codeOf } from '../failure.ts';
import type { Contents, StationContents } from './contents.ts';

export const MANIFEST_FORMAT = 1;

export interface Manifest extends Contents {
  format: number;
  /** ISO 8601. */
  madeAt: string;
  /** Version of the program that made it. */
  program: string;
  bytes: number;
  sha256: string;
}

export const manifestPath = (file: string): string => `${file}.json`;

/** What stands there is read as it is: no folder, and no pipe that waits for somebody to write. Throws USAGE. */
function refuseNoFile(path: string): void {
  if (!statSync(path).isFile())
    throw new WattkeepError('USAGE', `${path} is no file`, 'Name a file made by wattkeep snapshot.');
}

const PIECE_BYTES = 1024 * 1024;

/** SHA-256 and length of a file, piece by piece. Never of a database that is open in this process. */
export function digestOf(path: string): { sha256: string; bytes: number } {
  const hash = createHash('sha256');
  const piece = Buffer.allocUnsafe(PIECE_BYTES);
  refuseNoFile(path);
  const file = openSync(path, 'r');
  try {
    let bytes = 0;
    for (let read = readSync(file, piece); read > 0; read = readSync(file, piece)) {
      hash.update(piece.subarray(0, read));
      bytes += read;
    }
    return { sha256: hash.digest('hex'), bytes };
  } finally {
    closeSync(file);
  }
}

/** Flushes a file, or the names of a folder, to the disk. Systems that cannot open a folder go without. */
export function flush(path: string): void {
  let file: number;
  try {
    file = openSync(path, 'r');
  } catch (error) {
    if (['EISDIR', 'EPERM', 'EACCES'].includes(codeOf(error))) return;
    throw error;
  }
  try {
    fsyncSync(file);
  } catch (error) {
    if (!['EPERM', 'EINVAL'].includes(codeOf(error))) throw error;
  } finally {
    closeSync(file);
  }
}

/** Writes it beside `file`, 0600. Throws what the file system says, EEXIST where there is one. */
export function writeManifest(file: string, manifest: Manifest): void {
  const path = manifestPath(file);
  writeFileSync(path, `${JSON.stringify(manifest, null, 2)}\n`, { flag: 'wx', mode: 0o600 });
  try {
    flush(path);
    flush(dirname(path));
  } catch (error) {
    unlinkSync(path);
    throw error;
  }
}

const unproven = (message: string, fix: string, cause?: unknown) =>
  new WattkeepError('SNAPSHOT_UNPROVEN', message, fix, cause === undefined ? {} : { cause });

const isText = (value: unknown): value is string => typeof value === 'string';
const isNumber = (value: unknown): value is number => typeof value === 'number';
const isInstant = (value: unknown): value is string => isText(value) && /^\d{4}-\d\d-\d\dT[\d:.]+Z$/.test(value);
const isStation = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && 'name' in value && isText(value.name);

function isManifest(found: unknown): found is Manifest {
  if (typeof found !== 'object' || found === null) return false;
  const m = found as Partial<Record<keyof Manifest, unknown>>;
  return (
    isNumber(m.format) &&
    isNumber(m.schema) &&
    isNumber(m.bytes) &&
    isText(m.sha256) &&
    /^[0-9a-f]{64}$/.test(m.sha256) &&
    isInstant(m.madeAt) &&
    isText(m.program) &&
    typeof m.simulated === 'boolean' &&
    Array.isArray(m.stations) &&
    m.stations.every(isStation)
  );
}

/** null where it is none that this version can read. */
export function readManifestAt(path: string): Manifest | null {
  try {
    const found: unknown = JSON.parse(readFileSync(path, 'utf8'));
    return isManifest(found) ? found : null;
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

/** Throws SNAPSHOT_UNPROVEN where there is none or it cannot be read, RECORD_NEWER where a newer program wrote it. */
export function readManifest(file: string): Manifest {
  const path = manifestPath(file);
  let found: unknown;
  if (!existsSync(file))
    throw new WattkeepError('USAGE', `${file} is not there`, 'Name a file made by wattkeep snapshot.');
  try {
    refuseNoFile(file);
    refuseNoFile(path);
    found = JSON.parse(readFileSync(path, 'utf8'));
  } catch (cause) {
    if (codeOf(cause) === 'ENOENT')
      throw unproven(
        `${file} has no manifest beside it (${path}), so nobody can tell whether it is whole; a plain copy of a record lacks what the agent had not yet moved into that file`,
        'Name a file made by wattkeep snapshot, with its .json beside it.',
        cause,
      );
    if (!(cause instanceof SyntaxError)) throw asRecordError(cause, path);
  }
  if (!isManifest(found))
    throw unproven(`${path} is no manifest of a snapshot`, 'Name a file made by wattkeep snapshot, with its .json.');
  if (found.format > MANIFEST_FORMAT)
    throw new WattkeepError(
      'RECORD_NEWER',
      `${path} was made by a newer wattkeep (${found.program}); nothing was changed`,
      'Install the newer wattkeep again, then restore.',
    );
  return found;
}

const PLAIN = [
  'readings',
  'firstAt',
  'lastAt',
  'sessions',
  'days',
  'solarMilliJ',
  'inputMilliJ',
  'outputMilliJ',
] as const;

/** What differs between a manifest and what a file really holds, in words; null where nothing does. */
export function difference(told: Contents, found: Contents): string | null {
  if (told.simulated !== found.simulated) return `a ${found.simulated ? 'simulated' : 'real'} record`;
  if (told.schema !== found.schema) return `schema ${found.schema} instead of ${told.schema}`;
  if (told.stations.length !== found.stations.length)
    return `${found.stations.length} stations instead of ${told.stations.length}`;
  for (const [index, station] of told.stations.entries()) {
    const held: StationContents = found.stations[index]!;
    if (held.name !== station.name) return `station ${held.name} instead of ${station.name}`;
    for (const key of PLAIN)
      if (held[key] !== station[key]) return `${station.name}: ${key} ${held[key]} instead of ${station[key]}`;
    if (held.sessionsDigest !== station.sessionsDigest) return `${station.name}: other last sequences of its sessions`;
    if (JSON.stringify(held) !== JSON.stringify({ ...held, ...station })) return `${station.name}: other totals`;
  }
  return null;
}
