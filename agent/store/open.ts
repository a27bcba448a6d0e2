/**
 * The record of one data folder: prepares the folder, takes the lock, opens the database. Opened for reading it takes
 * no lock and may stand beside the one that writes, in another thread or process.
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import { broughtUp, type Connection, connectReader, connectWriter } from './connection.ts';
import { recordError } from './failure.ts';
import { asDiskError, createPrivateFile, hasRecord, isDiskFull, prepareFolder } from './folder.ts';
import { keepBefore } from './keep/before-migration.ts';
import { hasDamageSign } from './keep/damage.ts';
import { markKind } from './kind.ts';
import { LateRecord } from './late-record.ts';
import { takeLock } from './lock.ts';
import { findLostLog, refuseOthersLog } from './lost-log.ts';
import { MIGRATIONS } from './migrations/index.ts';
import type { OpenedRecord, OpenOptions } from './opened.ts';
import { ReadingRecord } from './reading-record.ts';
import { WritingRecord } from './writing-record.ts';

export type { OpenedRecord, OpenOptions } from './opened.ts';

const recordPath = (dir: string): string => join(dir, 'record.db');

/**
 * Opens the record in `dir`, making it where it is missing (not when `readOnly`). Throws WattkeepError: DATA_BUSY,
 * DATA_PERMISSION, DATA_NETWORK_DISK, DISK_FULL, DISK_READ_ONLY, RECORD_DAMAGED, RECORD_NEWER, SQLITE_OLD, or USAGE
 * where a demo record is opened as a real one.
 */
export function openRecord(dir: string, options: OpenOptions): OpenedRecord {
  return options.readOnly === true ? openForReading(dir, options) : openForWriting(dir, options);
}

/**
 * As openRecord for writing; where the disk takes no writes what was recorded is shown meanwhile, and saving begins once
 * it does. Throws DISK_FULL or DISK_READ_ONLY where nothing was recorded yet, and as openRecord does.
 */
export function openRecordSoon(
  dir: string,
  options: OpenOptions,
): { record: OpenedRecord; waitsFor: WattkeepError | null } {
  try {
    return { record: openForWriting(dir, options), waitsFor: null };
  } catch (error) {
    if (!(error instanceof WattkeepError)) throw error;
    const { code } = error;
    // Without a file, or one whose making was broken off, there is nothing to show.
    if ((code !== 'DISK_FULL' && code !== 'DISK_READ_ONLY') || !holdsAny(dir, options)) throw error;
    const record = new LateRecord(recordPath(dir), code, options, {
      forReading: () => openForReading(dir, options),
      forWriting: () => openForWriting(dir, options),
    });
    return { record, waitsFor: error };
  }
}

function holdsAny(dir: string, options: OpenOptions): boolean {
  try {
    openForReading(dir, options).close();
    return true;
  } catch (error) {
    if (error instanceof WattkeepError && error.code === 'USAGE') return false;
    throw error;
  }
}

function openForReading(dir: string, options: OpenOptions): ReadingRecord {
  const path = recordPath(dir);
  if (!hasRecord(dir)) {
    throw new WattkeepError('USAGE', `${dir} holds no record`, 'Name the folder of a record with --data.');
  }
  try {
    refuseOthersLog(path);
    const { db, frozen } = connectReader(path);
    markKind(db, dir, options.demo ?? false, false);
    const stuck = isDiskFull(path) ? 'DISK_FULL' : 'DISK_READ_ONLY';
    return new ReadingRecord(path, broughtUp(db), frozen ? stuck : null, options);
  } catch (error) {
    throw asDiskError(error, path);
  }
}

function openForWriting(dir: string, options: OpenOptions): WritingRecord {
  const path = recordPath(dir);
  prepareFolder(dir, true);
  const lock = takeLock(dir, options.nowMs());
  try {
    if (existsSync(path) && hasDamageSign(dir))
      throw recordError('RECORD_DAMAGED', `${path} was found damaged by an earlier check`);
    createPrivateFile(path);
    const lostLog = findLostLog(path, options.nowMs());
    const before = (old: Connection, newest: number) =>
      keepBefore(old, dir, newest, { atMs: options.nowMs(), program: options.program ?? '' });
    // A simulated record can be made again.
    const db = connectWriter(path, MIGRATIONS, options.demo === true ? undefined : before);
    try {
      markKind(db, dir, options.demo ?? false, true);
    } catch (error) {
      db.close();
      throw error;
    }
    return new WritingRecord(path, db, lock, { ...options, lostLog });
  } catch (error) {
    lock.release();
    throw asDiskError(error, path);
  }
}
