/**
 * Memory of a process as Linux tells it, bytes. Null where the system has no /proc or the process is gone: the watch
 * then rests on the other limits.
 */
import { readFileSync } from 'node:fs';

const UNIT_BYTES = 1024;

function line(pid: number | 'self', name: string): number | null {
  let status: string;
  try {
    status = readFileSync(`/proc/${pid}/status`, 'latin1');
  } catch (cause) {
    // No such file is the answer of a system without /proc and of a process that has ended.
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return null;
    throw cause;
  }
  const kib = new RegExp(`^${name}:\\s+(\\d+) kB$`, 'm').exec(status)?.[1];
  return kib === undefined ? null : Number(kib) * UNIT_BYTES;
}

/** Memory it really uses now. */
export const residentBytes = (pid: number): number | null => line(pid, 'VmRSS');

/**
 * Private writable memory that Node takes on this computer before any program runs: this process's own, less what its
 * program keeps. It is measured because it differs tenfold between lines of Node (50 MB in 22, 575 MB in 24, which
 * reserves its code range as data).
 */
export function baselineDataBytes(): number | null {
  const dataBytes = line('self', 'VmData');
  if (dataBytes === null) return null;
  const { heapTotal, external } = process.memoryUsage();
  return Math.max(0, dataBytes - heapTotal - external);
}
