/**
 * Resident memory of another process, bytes, as Linux tells it. Null where the system has no /proc or the process is
 * gone: the watch then rests on the other limits.
 */
import { readFileSync } from 'node:fs';

const UNIT_BYTES = 1024;

export function residentBytes(pid: number): number | null {
  let status: string;
  try {
    status = readFileSync(`/proc/${pid}/status`, 'latin1');
  } catch (cause) {
    // No such file is the answer of a system without /proc and of a process that has ended.
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return null;
    throw cause;
  }
  const kib = /^VmRSS:\s+(\d+) kB$/m.exec(status)?.[1];
  return kib === undefined ? null : Number(kib) * UNIT_BYTES;
}
