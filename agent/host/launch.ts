/**
 * How the process of an adapter is started: an empty environment, Node's permission model (a seat belt against
 * accidents: Node itself says it is no defence against malice, and up to 24 it leaves the network open), a heap limit,
 * and where Linux has them a ceiling on all memory and a promise to end with the agent. An owner's adapter runs in a
 * space of its own where bubblewrap can make one: no network, no processes but its own, no files but Node's and its own.
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
  /** Only where it was tried and works here: then the process sees nothing but what is bound below. */
  readonly bwrap: string | null;
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
  const { entryPath, source, nodePath, nodeVersion, prlimit, setpriv, bwrap, baselineDataBytes } = request;
  const built = path.resolve(path.dirname(entryPath), '../..');
  const folders = [path.join(built, 'agent/host'), path.join(built, 'protocol-adapters')];
  const ownFile = source === 'built-in' ? [] : [source];
  const files = [path.join(built, '../package.json'), ...ownFile];
  const readable = [...folders.map(folder => path.join(folder, '*')), ...files];
  const words = [
    ...(setpriv === null ? [] : [setpriv, '--pdeathsig', 'KILL', '--']),
    ...(prlimit === null || baselineDataBytes === null
      ? []
      : [prlimit, `--data=${baselineDataBytes + DATA_OVER_BASELINE_BYTES}`, '--core=0', '--']),
    ...(bwrap === null ? [] : ownSpace(bwrap, [nodePath, ...folders, ...files], ownFile)),
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

/** Where Node's own libraries lie. They hold nothing of the owner's. */
const LIBRARIES = ['/lib', '/lib64', '/usr/lib', '/usr/lib64'];

/**
 * Bubblewrap's words for a space that holds only `places`; the program and its arguments follow. One of `mayLack` that
 * is missing is left out: Node tells in better words that it is.
 */
export function ownSpace(bwrap: string, places: readonly string[], mayLack: readonly string[] = []): string[] {
  return [
    bwrap,
    ...['--unshare-all', '--die-with-parent', '--as-pid-1', '--new-session'],
    ...['--cap-drop', 'ALL', '--chdir', '/'],
    ...LIBRARIES.flatMap(place => ['--ro-bind-try', place, place]),
    ...places.flatMap(place => [mayLack.includes(place) ? '--ro-bind-try' : '--ro-bind', place, place]),
    '--',
  ];
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
