/**
 * Snapshots: a whole, compact copy of a record through a connection that only reads, with a manifest beside it. An
 * agent that writes goes on meanwhile; the copy is of one moment.
 */
import { chmodSync, closeSync, existsSync, openSync, readSync, renameSync, unlinkSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { WattkeepError } from '#kit';
import { asRecordError, codeOf } from '../failure.ts';
import { createPrivateFile } from '../folder.ts';
import type { Connection } from '../kept.ts';
import { openDatabase } from '../kept.ts';
import { type Contents, contentsOf } from './contents.ts';
import {
  difference,
  digestOf,
  flush,
  MANIFEST_FORMAT,
  type Manifest,
  manifestPath,
  readManifestAt,
  writeManifest,
} from './manifest.ts';

/** What to do about one that is not what it is told to be. */
export const ANOTHER = 'Name another snapshot. Nothing was changed.';

/** All that SQLite's full check finds, and whether what it holds is what was told. Throws what is wrong. */
export function verifyFile(file: string, told: Contents): void {
  // As a path: SQLite takes some names for none.
  const db = openDatabase(resolve(file), { readonly: true });
  try {
    const findings = (db.pragma('integrity_check(1)') as { integrity_check: string }[]).map(r => r.integrity_check);
    if (findings[0] !== 'ok') throw new WattkeepError('RECORD_DAMAGED', `${file} is damaged: ${findings[0]}`, ANOTHER);
    const differs = difference(told, contentsOf(db));
    if (differs !== null)
      throw new WattkeepError('SNAPSHOT_UNPROVEN', `${file} does not hold what its manifest says: ${differs}`, ANOTHER);
  } catch (error) {
    throw asRecordError(error, file);
  } finally {
    db.close();
  }
}

function refuseExisting(file: string): void {
  for (const path of [file, manifestPath(file)])
    if (existsSync(path))
      throw new WattkeepError('USAGE', `${path} is there already; nothing was changed`, 'Name another file.');
}

const removeIfThere = (path: string): void => {
  try {
    unlinkSync(path);
  } catch (error) {
    if (codeOf(error) !== 'ENOENT') throw error;
  }
};

/** Removes a snapshot with its manifest; the manifest first, so that what is left proves nothing. */
export function removeSnapshot(file: string): void {
  removeIfThere(manifestPath(file));
  removeIfThere(file);
}

const partialOf = (file: string): string => `${file}.partial`;

const SQLITE_MAGIC = 'SQLite format 3\0';

/** A database, or one that was begun: its first page may not have been written yet. */
function isBegun(file: string): boolean {
  const head = Buffer.alloc(SQLITE_MAGIC.length);
  const opened = openSync(file, 'r');
  try {
    const found = head.subarray(0, readSync(opened, head));
    return found.every(byte => byte === 0) || found.toString('latin1') === SQLITE_MAGIC;
  } finally {
    closeSync(opened);
  }
}

/**
 * What a try that was broken off left. Between its last two steps the file has its name already and the manifest has not:
 * that one proves no more than the others.
 */
function removeLeftovers(file: string): void {
  const half = partialOf(file);
  if (existsSync(half) && !isBegun(half)) refuseExisting(half);
  const named =
    existsSync(file) && !existsSync(half) && existsSync(manifestPath(half)) && !existsSync(manifestPath(file));
  if (named && readManifestAt(manifestPath(half))?.sha256 === digestOf(file).sha256) removeIfThere(file);
  removeSnapshot(half);
}

/** Copies what `db` holds now into a file that is not there yet, checks the copy and writes its manifest beside it. */
function copyInto(db: Connection, file: string, made: { atMs: number; program: string }): Manifest {
  createPrivateFile(file);
  // An empty file is what VACUUM INTO may write into; it keeps its mode.
  db.prepare('VACUUM INTO ?').run(file);
  chmodSync(file, 0o600);
  flush(file);
  const copy = openDatabase(file, { readonly: true });
  let contents: Contents;
  try {
    contents = contentsOf(copy);
  } finally {
    copy.close();
  }
  verifyFile(file, contents);
  const madeAt = new Date(made.atMs).toISOString();
  const manifest = { format: MANIFEST_FORMAT, madeAt, program: made.program, ...contents, ...digestOf(file) };
  writeManifest(file, manifest);
  return manifest;
}

/**
 * Copies what `db` holds now into `file`, checks the copy and writes its manifest; both 0600. It gets its name when it is
 * whole; nothing is left where it fails. Throws USAGE where one of the two is there already, and what a disk can say.
 *
 * @param made instant (UTC epoch ms) and program version for the manifest
 */
export function makeSnapshot(db: Connection, file: string, made: { atMs: number; program: string }): Manifest {
  const path = resolve(file);
  const half = partialOf(path);
  let named = false;
  try {
    removeLeftovers(path);
    refuseExisting(path);
  } catch (error) {
    throw asRecordError(error, file);
  }
  try {
    const manifest = copyInto(db, half, made);
    refuseExisting(path);
    renameSync(half, path);
    named = true;
    renameSync(manifestPath(half), manifestPath(path));
    flush(dirname(path));
    return manifest;
  } catch (error) {
    if (named) removeSnapshot(path);
    removeSnapshot(half);
    throw asRecordError(error, file);
  }
}
