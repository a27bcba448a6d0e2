/** Memory and processor time of a process and all that it started, as Linux tells them in /proc. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';

/** Clock ticks a second; 100 on every Linux that Node runs on. */
const TICKS_PER_S = 100;
const KIB_PER_MB = 1024;

export const hasProc = (): boolean => existsSync('/proc/self/stat');

interface Row {
  readonly pid: number;
  readonly parent: number;
  readonly cpuMs: number;
}

/** null for a process that has just ended. */
function rowOf(pid: number): Row | null {
  const stat = readOrNull(`/proc/${pid}/stat`);
  if (stat === null) return null;
  // The name in parentheses may hold spaces; what follows does not.
  const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
  const ticks = Number(fields[11]) + Number(fields[12]);
  return { pid, parent: Number(fields[1]), cpuMs: (1000 * ticks) / TICKS_PER_S };
}

function readOrNull(path: string): string | null {
  try {
    return readFileSync(path, 'latin1');
  } catch (cause) {
    // A process that ended between the listing and the reading.
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return null;
    throw cause;
  }
}

/** The process itself first, then what it started, and so on down. */
export function treeOf(pid: number): number[] {
  const rows = readdirSync('/proc')
    .filter(name => /^\d+$/.test(name))
    .map(name => rowOf(Number(name)))
    .filter(row => row !== null);
  const tree = [pid];
  for (const parent of tree) for (const row of rows) if (row.parent === parent) tree.push(row.pid);
  return tree;
}

/** Processor time used since its start, user and system, ms. */
export const cpuMsOf = (pid: number): number => rowOf(pid)?.cpuMs ?? 0;

const kibLine = (text: string | null, name: string): number =>
  Number(new RegExp(`^${name}:\\s+(\\d+) kB`, 'm').exec(text ?? '')?.[1] ?? 0);

/** Resident memory; what processes share is counted in each of them. */
export const residentMB = (pid: number): number => kibLine(readOrNull(`/proc/${pid}/status`), 'VmRSS') / KIB_PER_MB;

/** Resident memory with what is shared divided among those who share it. */
export const shareMB = (pid: number): number => kibLine(readOrNull(`/proc/${pid}/smaps_rollup`), 'Pss') / KIB_PER_MB;
