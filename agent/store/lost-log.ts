/**
 * Whether the write-ahead log that lies beside a record is its own. SQLite takes whatever log it finds there, and pages of
 * another record would be mixed into this one; so a record carries a number of its own in its first page (SQLite's
 * application id), and so does each log in which that page was written. Of a log that is gone, the shared memory that a
 * killed agent leaves tells whether it held anything. Read before SQLite opens the file. Layouts: SQLite file format 1.3
 * and 4, WAL-index format 2.
 */
import { closeSync, openSync, readSync, renameSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import { WattkeepError } from '#kit';
import { codeOf } from './failure.ts';

export interface LostLog {
  /** Name of the other record's log in the folder; null where there was none. */
  keptAs: string | null;
}

const FILE_MAGIC = 'SQLite format 3\0';
const OWN_NUMBER_AT = 68;
const LOG_HEADER_BYTES = 32;
const FRAME_HEADER_BYTES = 24;
/** Beyond it nothing is looked at: what a log is cut to once it was written back. */
const MOST_BYTES = 16 * 1024 * 1024;
const INDEX_VERSION = 3_007_000;

/** So many bytes of a file, or fewer where it ends; null where there is none. */
function bytesOf(path: string, count: number): Buffer | null {
  let file: number;
  try {
    file = openSync(path, 'r');
  } catch (error) {
    if (codeOf(error) === 'ENOENT') return null;
    throw error;
  }
  try {
    const bytes = Buffer.alloc(count);
    return bytes.subarray(0, readSync(file, bytes, 0, count, 0));
  } finally {
    closeSync(file);
  }
}

/** The number in a first page; 0 where it is none, or was made before records had one. */
const ownNumber = (page: Buffer): number =>
  page.length >= 100 && page.toString('latin1', 0, FILE_MAGIC.length) === FILE_MAGIC
    ? page.readUInt32BE(OWN_NUMBER_AT)
    : 0;

/** SQLite's running checksum over whole pairs of words. */
function sumOver(bytes: Buffer, bigEndian: boolean, [one, two]: readonly [number, number]): [number, number] {
  let [a, b] = [one, two];
  const word = (at: number) => (bigEndian ? bytes.readUInt32BE(at) : bytes.readUInt32LE(at));
  for (let at = 0; at + 8 <= bytes.length; at += 8) {
    a = (a + word(at) + b) >>> 0;
    b = (b + word(at + 4) + a) >>> 0;
  }
  return [a, b];
}

/** The number in the first whole frame that holds one; 0 where none does. */
function numberOfLog(log: Buffer): number {
  if (log.length < LOG_HEADER_BYTES || log.readUInt32BE(0) >>> 1 !== 0x377f0682 >>> 1) return 0;
  const bigEndian = log.readUInt32BE(0) % 2 === 1;
  const frameBytes = FRAME_HEADER_BYTES + log.readUInt32BE(8);
  const salts = log.subarray(16, 24);
  let sum = sumOver(log.subarray(0, 24), bigEndian, [0, 0]);
  for (let at = LOG_HEADER_BYTES; at + frameBytes <= log.length; at += frameBytes) {
    const frame = log.subarray(at, at + frameBytes);
    if (!frame.subarray(8, 16).equals(salts)) return 0;
    sum = sumOver(frame.subarray(0, 8), bigEndian, sum);
    sum = sumOver(frame.subarray(FRAME_HEADER_BYTES), bigEndian, sum);
    if (sum[0] !== frame.readUInt32BE(16) || sum[1] !== frame.readUInt32BE(20)) return 0;
    const number = frame.readUInt32BE(0) === 1 ? ownNumber(frame.subarray(FRAME_HEADER_BYTES)) : 0;
    if (number !== 0) return number;
  }
  return 0;
}

/** Whether frames were written that had not been moved into the file yet, as the shared memory of the last one says. */
function heldFrames(path: string): boolean {
  const index = bytesOf(`${path}-shm`, 136);
  if (index === null || index.length < 136) return false;
  const littleEndian = index.readUInt32LE(0) === INDEX_VERSION;
  if (!littleEndian && index.readUInt32BE(0) !== INDEX_VERSION) return false;
  const word = (at: number) => (littleEndian ? index.readUInt32LE(at) : index.readUInt32BE(at));
  return index[12] === 1 && word(16) > word(96);
}

/** True where the log beside the record at `path` is that of another one. */
function isOthersLog(path: string): boolean {
  const size = statSync(`${path}-wal`, { throwIfNoEntry: false })?.size ?? 0;
  if (size === 0) return false;
  const own = ownNumber(bytesOf(path, 100) ?? Buffer.alloc(0));
  if (own === 0) return false;
  const found = numberOfLog(bytesOf(`${path}-wal`, Math.min(size, MOST_BYTES))!);
  return found !== 0 && found !== own;
}

/** For who only reads. Throws RECORD_DAMAGED: what is read would be of two records. */
export function refuseOthersLog(path: string): void {
  if (isOthersLog(path))
    throw new WattkeepError(
      'RECORD_DAMAGED',
      `${path}-wal is the log of another record; nothing was read`,
      'Start the agent: it puts that log aside and goes on with the record.',
    );
}

/** Puts another record's log aside, and says so, and where the record's own log is gone; null where all is well. */
export function findLostLog(path: string, nowMs: number): LostLog | null {
  const size = statSync(`${path}-wal`, { throwIfNoEntry: false })?.size ?? 0;
  if (size === 0) return heldFrames(path) ? { keptAs: null } : null;
  if (!isOthersLog(path)) return null;
  const aside = `${path}-wal.other-${new Date(nowMs).toISOString().replace(/\D/g, '').slice(0, 14)}`;
  renameSync(`${path}-wal`, aside);
  return { keptAs: basename(aside) };
}
