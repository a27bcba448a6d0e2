/**
 * A snapshot put in the place of a record. It is proven first, twice: where it lies and once more as it was copied. The
 * present record stays beside it under a dated name; at no moment is there no record.
 */
import { copyFileSync, existsSync, renameSync, rmSync, statSync, unlinkSync } from 'node:fs';
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import { emptyLog } from '../connection.ts';
import { asRecordError, recordError } from '../failure.ts';
import { createPrivateFile, prepareFolder } from '../folder.ts';
import { openDatabase } from '../kept.ts';
import { takeLock } from '../lock.ts';
import { MIGRATIONS } from '../migrations/index.ts';
import { type Contents, contentsOf } from './contents.ts';
import { damageSign } from './damage.ts';
import { keepAs } from './keep-as.ts';
import { digestOf, flush, MANIFEST_FORMAT, type Manifest, readManifest, writeManifest } from './manifest.ts';
import { ANOTHER, removeSnapshot, verifyFile } from './snapshot.ts';

export interface RestorePlan {
  manifest: Manifest;
  /** What the record there holds now; null where there is none, or where it cannot be read. */
  present: Contents | null;
  /** Why the present record cannot be read; null where it can, or where there is none. */
  trouble: string | null;
}

/** Throws SNAPSHOT_UNPROVEN, RECORD_DAMAGED or RECORD_NEWER unless `file` is exactly what its manifest says. */
export function proveSnapshot(file: string, manifest: Manifest): void {
  let found: ReturnType<typeof digestOf>;
  try {
    found = digestOf(file);
  } catch (error) {
    throw asRecordError(error, file);
  }
  if (found.bytes !== manifest.bytes || found.sha256 !== manifest.sha256)
    throw new WattkeepError(
      'RECORD_DAMAGED',
      `${file} is not the file its manifest was made for: ${found.bytes} bytes with SHA-256 ${found.sha256.slice(0, 12)}…, not ${manifest.bytes} with ${manifest.sha256.slice(0, 12)}…`,
      ANOTHER,
    );
  const newest = Math.max(...MIGRATIONS.map(m => m.version));
  if (manifest.schema > newest)
    throw new WattkeepError(
      'RECORD_NEWER',
      `${file} was made by a newer wattkeep (schema ${manifest.schema}; this one knows ${newest}); nothing was changed`,
      'Install the newer wattkeep again, then restore.',
    );
  verifyFile(file, manifest);
}

function look(path: string): Pick<RestorePlan, 'present' | 'trouble'> {
  if (!existsSync(path) || statSync(path).size === 0) return { present: null, trouble: null };
  try {
    const db = openDatabase(path, { readonly: true });
    try {
      return { present: contentsOf(db), trouble: null };
    } finally {
      db.close();
    }
  } catch (error) {
    return { present: null, trouble: asRecordError(error, path).message };
  }
}

/** Proves the snapshot and tells what it would replace. Changes nothing. */
export function planRestore(dir: string, file: string): RestorePlan {
  const manifest = readManifest(file);
  proveSnapshot(file, manifest);
  if (manifest.simulated)
    throw new WattkeepError('USAGE', `${file} holds a simulated record`, 'Name a snapshot of your own record.');
  return { manifest, ...look(join(dir, 'record.db')) };
}

/** Makes a record that can be read one closed file, so that keeping it is one step. Throws what SQLite says. */
function settle(path: string): Contents {
  const db = openDatabase(path, { timeout: 500 });
  try {
    emptyLog(db);
    return contentsOf(db);
  } finally {
    db.close();
  }
}

/**
 * Keeps the present record under a dated name: with a manifest where it can be read; otherwise untouched, with its log.
 */
function keepPresent(dir: string, readable: boolean, nowMs: number, program: string): string | null {
  const path = join(dir, 'record.db');
  if (!existsSync(path) || statSync(path).size === 0) return null;
  const contents = readable ? settle(path) : null;
  const log = `${path}-wal`;
  const logHolds = existsSync(log) && statSync(log).size > 0;
  if (contents !== null && logHolds)
    throw recordError('DATA_BUSY', `another program reads the record in ${dir}; nothing was changed`);
  const stamp = new Date(nowMs).toISOString().replace(/[:.]/g, '-');
  const kept = join(dir, `replaced-${stamp}.db`);
  keepAs(path, kept);
  if (contents === null) {
    if (logHolds) keepAs(log, `${kept}-wal`);
    // A log of another file must never meet the new one.
    rmSync(log, { force: true });
  } else {
    const madeAt = new Date(nowMs).toISOString();
    writeManifest(kept, { format: MANIFEST_FORMAT, madeAt, program, ...contents, ...digestOf(kept) });
  }
  rmSync(`${path}-shm`, { force: true });
  return kept;
}

/**
 * Puts the snapshot in the record's place. Throws DATA_BUSY while an agent runs; whatever it throws, the present record
 * is still there, whole.
 *
 * @returns the name the present record is kept under; null where there was none
 */
export function restoreSnapshot(dir: string, file: string, made: { atMs: number; program: string }): string | null {
  prepareFolder(dir, true);
  const lock = takeLock(dir, made.atMs);
  const copy = join(dir, 'restoring.db');
  try {
    removeSnapshot(copy);
    const { manifest, trouble } = planRestore(dir, file);
    createPrivateFile(copy);
    copyFileSync(file, copy);
    flush(copy);
    proveSnapshot(copy, manifest);
    const kept = keepPresent(dir, trouble === null, made.atMs, made.program);
    renameSync(copy, join(dir, 'record.db'));
    rmSync(damageSign(dir), { force: true });
    flush(dir);
    return kept;
  } catch (error) {
    if (existsSync(copy)) unlinkSync(copy);
    throw asRecordError(error, dir);
  } finally {
    lock.release();
  }
}
