/** A second name for a file, or a copy where the disk has only one name a file. */
import { constants, copyFileSync, linkSync } from 'node:fs';
import { codeOf } from '../failure.ts';

/** Throws what the file system says, EEXIST where that name is taken. */
export function keepAs(path: string, kept: string): void {
  try {
    linkSync(path, kept);
  } catch (error) {
    if (codeOf(error) === 'EEXIST' || codeOf(error) === 'ENOENT') throw error;
    copyFileSync(path, kept, constants.COPYFILE_EXCL);
  }
}
