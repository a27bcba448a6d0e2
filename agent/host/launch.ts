/**
 * How the process of an adapter is started: an empty environment, Node's permission model (a seat belt against
 * accidents: Node itself says it is no defence against malice, and it leaves the network open), a heap limit, and
 * where Linux has them a ceiling on all memory and a promise to end with the agent.
 */
import { accessSync, constants, realpathSync } from 'node:fs';
import path from 'node:path';

const HEAP_MB = 96;
export const HEAP_LIMIT_BYTES = HEAP_MB * 1024 * 1024;
/** Heap limits do not cover buffers; this does: private writable memory over what Node takes for itself. */
const DATA_OVER_BASELINE_BYTES = 280_000_000;

export interface LaunchRequest {
  /** Absolute path of the built adapter-child.js. */
  readonly entryPath: string;
  /** `built-in`, or the absolute path of an owner's adapter. */
  readonly source: string;
  readonly nodePath: string;
  /** As in process.versions.node. */
  readonly nodeVersion: string;
  /** Absolute paths of programs found on this computer. */
  readonly prlimit: string | null;
  readonly setpriv: string | null;
  /** Private writable memory of an idle Node here; null where the system does not tell: then it is not limited. */
  readonly baselineDataBytes: number | null;
}

export interface Launch {
  file: string;
  args: string[];
}

/** `--permission` since 22.13 and 23.5, an experiment under another name before. */
export function permissionFlag(nodeVersion: string): string {
  const [major = 0, minor = 0] = nodeVersion.split('.').map(Number);
  const settled = major > 23 || (major === 23 && minor >= 5) || (major === 22 && minor >= 13);
  return settled ? '--permission' : '--experimental-permission';
}

/** The program and its arguments, never a shell line. */
export function launchAdapter(request: LaunchRequest): Launch {
  const { entryPath, source, nodePath, nodeVersion, prlimit, setpriv, baselineDataBytes } = request;
  const built = path.resolve(path.dirname(entryPath), '../..');
  const readable = [
    path.join(built, 'agent/host/*'),
    path.join(built, 'protocol-adapters/*'),
    path.join(built, '../package.json'),
    ...(source === 'built-in' ? [] : [source]),
  ];
  const words = [
    ...(setpriv === null ? [] : [setpriv, '--pdeathsig', 'KILL', '--']),
    ...(prlimit === null || baselineDataBytes === null
      ? []
      : [prlimit, `--data=${baselineDataBytes + DATA_OVER_BASELINE_BYTES}`, '--core=0', '--']),
    nodePath,
    permissionFlag(nodeVersion),
    ...readable.map(place => `--allow-fs-read=${place}`),
    `--max-old-space-size=${HEAP_MB}`,
    '--disable-warning=ExperimentalWarning',
    entryPath,
    source,
  ];
  const [file = nodePath, ...args] = words;
  return { file, args };
}

/** The absolute path of a system program, or null where this computer has none. */
export function findProgram(name: string): string | null {
  for (const folder of ['/usr/bin', '/bin']) {
    const place = path.join(folder, name);
    try {
      accessSync(place, constants.X_OK);
      return place;
    } catch (cause) {
      // Absence is told by a system error code; anything else is a fault of ours.
      if (typeof (cause as NodeJS.ErrnoException).code !== 'string') throw cause;
    }
  }
  return null;
}

/** Where a file really lies: what is allowed to be read is its own place, not the link to it. As given where missing. */
export function realPlace(file: string): string {
  try {
    return realpathSync(file);
  } catch (cause) {
    // Whoever loads it tells in words that it is missing.
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return file;
    throw cause;
  }
}
