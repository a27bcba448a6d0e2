/** A snapshot of the record in a folder, through a connection that only reads and takes no lock. */
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import { connectReader } from '../connection.ts';
import { asDiskError, hasRecord } from '../folder.ts';
import { refuseOthersLog } from '../lost-log.ts';
import type { Manifest } from './manifest.ts';
import { makeSnapshot } from './snapshot.ts';

/** Throws USAGE where there is no record or `file` is there already; RECORD_DAMAGED, RECORD_NEWER, DISK_FULL. */
export function snapshotRecord(dir: string, file: string, made: { atMs: number; program: string }): Manifest {
  const path = join(dir, 'record.db');
  if (!hasRecord(dir))
    throw new WattkeepError('USAGE', `${dir} holds no record of yours`, 'Name the folder of a record with --data.');
  try {
    refuseOthersLog(path);
    const { db } = connectReader(path);
    try {
      return makeSnapshot(db, file, made);
    } finally {
      db.close();
    }
  } catch (error) {
    throw asDiskError(error, path);
  }
}
