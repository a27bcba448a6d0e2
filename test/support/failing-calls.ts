/** A writer on a disk that fails at one of its calls: what was acknowledged must be there, whole, and nothing twice. */
import { execFileSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect } from 'vitest';
import { startChild } from './child.ts';
import { expectWholeRecord } from './kill-rounds.ts';
import { freshFolder } from './record.ts';

interface Failure {
  /** Number of the first call that fails. */
  at: number;
  /** How many fail; 0: all from there on. */
  times: number;
  what: 'flush' | 'write' | 'both';
  /** The writer offers more each time it is refused, as an agent does that goes on reading. */
  growing?: boolean;
}

interface Line {
  session: string;
  seq: number;
  failed?: string;
}

/** Compiles a shim into the test's own folder. */
export function shimIn(place: string, name = 'failing-call'): string {
  const shim = join(place, `${name}.so`);
  const source = fileURLToPath(new URL(`../store/children/${name}.c`, import.meta.url));
  execFileSync('cc', ['-shared', '-fPIC', '-o', shim, source, '-ldl']);
  return shim;
}

/** @returns codes of what was refused on the way */
export async function writeThroughFailure({ at, times, what, growing }: Failure): Promise<string[]> {
  const dir = freshFolder();
  const env = {
    LD_PRELOAD: shimIn(dirname(dir)),
    FAIL_NAME: 'record.db',
    FAIL_AT: String(at),
    FAIL_TIMES: String(times),
    FAIL_WHAT: what,
  };
  const child = startChild('test/store/children/writer.ts', [dir, '1', ...(growing === true ? ['growing'] : [])], {
    env,
  });
  const acknowledged: Line[] = [];
  const refused: string[] = [];
  for (let lines = 0; lines < 60; lines++) {
    const text = await child.line();
    if (text === null) break;
    const line = JSON.parse(text) as Line;
    if (line.failed !== undefined) refused.push(line.failed);
    else acknowledged.push(line);
    // For ever is seen by now.
    if (refused.length > 8) break;
  }
  // One that could not even open says so and ends; what an earlier one wrote does not exist here.
  await child.kill();
  if (acknowledged.length > 0) expectWholeRecord(dir, acknowledged);
  for (const code of refused) expect(['DISK_READ_ONLY', 'DISK_FULL', 'RECORD_DAMAGED']).toContain(code);
  return refused;
}
