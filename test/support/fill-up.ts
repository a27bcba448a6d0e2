/** A disk without room, and folders put on it. */
import { closeSync, cpSync, openSync, truncateSync, writeSync } from 'node:fs';
import { expect } from 'vitest';

/** Writes until nothing more fits, then gives some of it back. */
export function fillUp(path: string, leaveBytes = 0): void {
  const file = openSync(path, 'w');
  let bytes = 0;
  try {
    for (;;) bytes += writeSync(file, Buffer.alloc(4096, 1));
  } catch (error) {
    expect(error).toMatchObject({ code: 'ENOSPC' });
  } finally {
    closeSync(file);
  }
  truncateSync(path, Math.max(0, bytes - leaveBytes));
}

export const copyFolder = (from: string, to: string): void => cpSync(from, to, { recursive: true });
