/**
 * Child processes for tests, run from the sources: the entry is bundled on the spot (packages stay outside), so that
 * it is never older than what is being edited.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { renameSync } from 'node:fs';
import path from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { buildSync } from 'esbuild';
import { onTestFinished } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const bundled = new Map<string, string>();

/** Bundles `entry` (a path from the project's root) once a test file; gives the path of what node runs. */
export function bundle(entry: string): string {
  const known = bundled.get(entry);
  if (known !== undefined) return known;
  const outfile = path.join(root, 'test/output/children', `${entry.replaceAll('/', '-')}.mjs`);
  // Other test files may be running the same one: it is put in place whole.
  const fresh = `${outfile}.${process.pid}`;
  buildSync({
    entryPoints: [path.join(root, entry)],
    outfile: fresh,
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    packages: 'external',
    conditions: ['source'],
    logLevel: 'error',
  });
  renameSync(fresh, outfile);
  bundled.set(entry, outfile);
  return outfile;
}

export interface Child {
  process: ChildProcess;
  /** The next line of its stdout, or null once it has ended. */
  line(): Promise<string | null>;
  /** Everything it wrote to stderr. */
  stderr(): string;
  /** SIGKILL, and waits until it is gone. */
  kill(): Promise<void>;
  /** Waits for its end; gives the exit code, or null after a signal. */
  ended(): Promise<number | null>;
}

/**
 * Starts the entry under node; `launcher` is put in front of node's own path (`['setpriv', '--reuid', '1']`), `flags` are
 * node's own.
 */
export function startChild(
  entry: string,
  args: readonly string[],
  options: { launcher?: readonly string[]; flags?: readonly string[]; env?: Record<string, string> } = {},
): Child {
  const node = [process.execPath, ...(options.flags ?? []), bundle(entry)];
  const [program, ...rest] = [...(options.launcher ?? []), ...node, ...args];
  const child = spawn(program!, rest, { stdio: ['pipe', 'pipe', 'pipe'], env: { ...process.env, ...options.env } });
  let stderr = '';
  child.stderr.on('data', piece => {
    stderr += String(piece);
  });
  const exited = once(child, 'exit');
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  const kill = async () => {
    child.kill('SIGKILL');
    await exited;
  };
  onTestFinished(async () => {
    if (child.exitCode === null && child.signalCode === null) await kill();
  });
  return {
    process: child,
    line: async () => {
      const next = await lines.next();
      return next.done === true ? null : next.value;
    },
    stderr: () => stderr,
    kill,
    ended: async () => {
      await exited;
      return child.exitCode;
    },
  };
}
