/**
 * The data folder: made for its owner only (0700, files 0600), and refused where SQLite cannot keep its promises.
 * WAL needs shared memory, which network file systems do not have. Magic numbers: Linux statfs(2).
 */
import { closeSync, existsSync, mkdirSync, openSync, statfsSync, statSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { WattkeepError } from '#kit';
import { asRecordError, codeOf, isIoError, recordError } from './failure.ts';

const NETWORK_FILE_SYSTEMS: ReadonlyMap<number, string> = new Map([
  [0x6969, 'NFS'],
  [0x517b, 'SMB'],
  [0xff534d42, 'SMB'],
  [0xfe534d42, 'SMB'],
  [0x5346414f, 'AFS'],
  [0x00c36400, 'Ceph'],
  [0x01021997, '9P'],
  [0x73757245, 'Coda'],
  [0x564c, 'NCP'],
]);

/** The network file system of a statfs type, or null where it is none or cannot be known. */
export const networkFileSystem = (statfsType: number): string | null =>
  NETWORK_FILE_SYSTEMS.get(statfsType >>> 0) ?? null;

/** Throws DATA_NETWORK_DISK. Linux only: elsewhere the type says nothing reliable. */
export function refuseNetworkDisk(dir: string, statfsType: number, platform: string): void {
  if (platform !== 'linux') return;
  const name = networkFileSystem(statfsType);
  if (name === null) return;
  throw new WattkeepError(
    'DATA_NETWORK_DISK',
    `${dir} lies on a network disk (${name}); a record would break there`,
    'Name a folder on a disk of this computer with --data.',
  );
}

/** Whether a record lies in a folder, which an empty file is not. Throws DATA_PERMISSION where this user may not look: that is no empty one. */
export function hasRecord(dir: string): boolean {
  try {
    return (statSync(join(dir, 'record.db'), { throwIfNoEntry: false })?.size ?? 0) > 0;
  } catch (error) {
    throw asRecordError(error, dir);
  }
}

/** One after the other: all at once Node goes on trying for ever where a folder takes none and says that it is not there, as /proc does. */
function makeFolders(dir: string): void {
  const missing: string[] = [];
  for (let at = dir; !existsSync(at); at = dirname(at)) missing.unshift(at);
  if (missing.length === 0 && !statSync(dir).isDirectory()) mkdirSync(dir);
  for (const at of missing)
    try {
      mkdirSync(at, { mode: 0o700 });
    } catch (error) {
      // Another start may be making the same ones.
      if (codeOf(error) !== 'EEXIST') throw error;
    }
}

/** Makes the folder where it is missing and checks its disk. Throws WattkeepError. */
export function prepareFolder(dir: string, create: boolean): void {
  try {
    if (create) makeFolders(resolve(dir));
    refuseNetworkDisk(dir, statfsSync(dir).type, process.platform);
  } catch (error) {
    throw asRecordError(error, dir);
  }
}

/**
 * Makes an empty file for SQLite to find, 0600; its -wal and -shm get the same mode. An existing file is not opened:
 * closing it here would drop the locks that SQLite holds on it in this process.
 */
export function createPrivateFile(path: string): void {
  try {
    closeSync(openSync(path, 'wx', 0o600));
  } catch (error) {
    if (codeOf(error) !== 'EEXIST') throw asRecordError(error, path);
  }
}

/** Below this an I/O error is told as a full disk, which it mostly is then. */
const FULL_BYTES = 1024 * 1024;

/** True where the disk that `path` lies on has next to nothing left; false where it is gone. */
export function isDiskFull(path: string): boolean {
  try {
    const { bavail, bsize } = statfsSync(dirname(path));
    return bavail * bsize < FULL_BYTES;
  } catch (error) {
    if (codeOf(error) === '') throw error;
    return false;
  }
}

/** As asRecordError, but SQLite's general I/O error is told as a full disk where it is one. */
export const asDiskError = (error: unknown, path: string): WattkeepError =>
  isIoError(error) && isDiskFull(path)
    ? recordError('DISK_FULL', `${path}: the disk is full`, { cause: error })
    : asRecordError(error, path);
