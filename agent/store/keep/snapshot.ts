/**
 * Snapshots: a whole, compact copy of a record through a connection that only reads, with a manifest beside it. An
 * agent that writes goes on meanwhile; the copy is of one moment.
 */
import { chmodSync, existsSync, unlinkSync } from 'node:fs';
import { dirname } from 'node:path';
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
  writeManifest,
} from './manifest.ts';

/** What to do about one that is not what it is told to be. */
export const ANOTHER = 'Name another snapshot. Nothing was changed.';

/** All that SQLite's full check finds, and whether what it holds is what was told. Throws what is wrong. */
export function verifyFile(file: string, told: Contents): void {
  const db = openDatabase(file, { readonly: true });
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

/**
 * Copies what `db` holds now into `file`, checks the copy and writes its manifest; both 0600. Nothing is left where it
 * fails. Throws USAGE where one of the two is there already, and what a disk can say.
 *
 * @param made instant (UTC epoch ms) and program version for the manifest
 */
export function makeSnapshot(db: Connection, file: string, made: { atMs: number; program: string }): Manifest {
  refuseExisting(file);
  createPrivateFile(file);
  try {
    // An empty file is what VACUUM INTO may write into; it keeps its mode.
    db.prepare('VACUUM INTO ?').run(file);
    chmodSync(file, 0o600);
    flush(file);
    flush(dirname(file));
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
  } catch (error) {
    removeSnapshot(file);
    throw asRecordError(error, file);
  }
}
