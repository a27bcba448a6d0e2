/**
 * A file of 16 MiB in the data folder that holds room for the worst hour: on a full disk even deleting needs space.
 * It is emptied once in an emergency, stays there empty as a sign of it, and is filled again when there is room.
 * Common practice, no source: the size, and the levels of what is little.
 */
import { randomBytes } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  renameSync,
  statfsSync,
  statSync,
  truncateSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import { asRecordError, codeOf } from '../failure.ts';

const MIB = 1024 * 1024;
export const RESERVE_BYTES = 16 * MIB;
/** Room that must be there, in one with the reserve, before saving goes on. */
const MARGIN_BYTES = 8 * MIB;
/** On a disk with less room than this no reserve is made: it would itself be what fills it. */
const ROOMY_BYTES = 4 * RESERVE_BYTES;

const LOW_BYTES = 500e6;
const LOW_SHARE = 0.05;
/** A twentieth of a large disk is no lack. */
const LOW_SHARE_MAX_BYTES = 5e9;

export interface Space {
  freeBytes: number;
  /** Below this the owner is told. */
  lowBytes: number;
}

/** Throws WattkeepError where the folder is gone. */
export function spaceOf(dir: string): Space {
  try {
    const { bavail, blocks, bsize } = statfsSync(dir);
    const lowBytes = Math.max(LOW_BYTES, Math.min(LOW_SHARE * blocks * bsize, LOW_SHARE_MAX_BYTES));
    return { freeBytes: bavail * bsize, lowBytes };
  } catch (error) {
    throw asRecordError(error, dir);
  }
}

export interface Reserve {
  /** It was emptied in an emergency and is not filled again yet. */
  isSpent(): boolean;
  /** Empties it; false where there is nothing to empty, or the disk does not even let go of it. */
  spend(): boolean;
  /** Fills it where it is missing or spent and there is room. Throws WattkeepError where the disk says no. */
  fill(freeBytes: number): void;
  /** What must be free before saving goes on. */
  readonly neededBytes: number;
}

export function openReserve(dir: string): Reserve {
  const path = join(dir, 'reserve');
  const fresh = `${path}.new`;
  const size = () => (existsSync(path) ? statSync(path).size : null);
  const neededBytes = RESERVE_BYTES + MARGIN_BYTES;

  return {
    neededBytes,
    isSpent: () => {
      const bytes = size();
      return bytes !== null && bytes < RESERVE_BYTES;
    },
    spend: () => {
      if ((size() ?? 0) < RESERVE_BYTES) return false;
      try {
        truncateSync(path, 0);
        return true;
      } catch (error) {
        if (codeOf(error) === '') throw error;
        return false;
      }
    },
    fill: freeBytes => {
      const bytes = size();
      if (bytes === RESERVE_BYTES || freeBytes < (bytes === null ? ROOMY_BYTES : neededBytes)) return;
      try {
        writeFull(fresh);
        renameSync(fresh, path);
      } catch (error) {
        if (existsSync(fresh)) unlinkSync(fresh);
        throw asRecordError(error, path);
      }
    },
  };
}

/** Bytes that nothing can make smaller: zeros may take no room at all. */
function writeFull(path: string): void {
  const file = openSync(path, 'w', 0o600);
  try {
    const piece = randomBytes(MIB);
    for (let bytes = 0; bytes < RESERVE_BYTES; ) bytes += writeSync(file, piece);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}
