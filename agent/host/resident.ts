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

/** Processes that `pid` started and that run still; none where the system does not tell. */
function startedBy(pid: number): number[] {
  try {
    return readFileSync(`/proc/${pid}/task/${pid}/children`, 'latin1').split(' ').filter(Boolean).map(Number);
  } catch (cause) {
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return [];
    throw cause;
  }
}

/** Memory it really uses now, with what it started: in a space of its own Node is the child of whoever made the space. */
export function residentBytes(pid: number): number | null {
  const own = line(pid, 'VmRSS');
  return own === null ? null : startedBy(pid).reduce((sum, child) => sum + (residentBytes(child) ?? 0), own);
}

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
