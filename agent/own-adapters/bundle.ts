/**
 * Turns an owner's adapter into the one file that its process may read. Files already made are kept, named by the hash
 * of what they were made from: the source and the kit.
 */
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { text } from 'node:stream/consumers';
import { printable, type Timers } from '#kit';
import type { SourceFile } from './source-file.ts';

export interface BundleParts {
  /** Root of the built program. */
  readonly dist: string;
  /** Where made files are kept; created when the first is made. */
  readonly cacheDir: string;
  readonly timers: Timers;
}

export type Bundled = { readonly place: string } | { readonly fault: string };

const LIMIT_MS = 30_000;
/** Code of an adapter with all it uses of the kit. */
const MAX_CODE_CHARS = 2_000_000;

/** Changes with any byte of the kit: an adapter made with an older one is made again. */
function kitHash(kitDir: string): string {
  const hash = createHash('sha256');
  for (const name of readdirSync(kitDir, { recursive: true, encoding: 'utf8' }).sort())
    if (name.endsWith('.js')) hash.update(name).update(readFileSync(join(kitDir, name)));
  return hash.digest('hex');
}

/** A function that gives the built file of a source, or in words why there is none. */
export function createBundler({ dist, cacheDir, timers }: BundleParts): (source: SourceFile) => Promise<Bundled> {
  const kitDir = join(dist, 'protocol-adapters', 'kit');
  const child = join(dist, 'agent', 'own-adapters', 'bundle-child.js');
  let kit: string | null = null;
  return async ({ name, contents, sha256 }) => {
    kit ??= kitHash(kitDir);
    const place = join(cacheDir, `${createHash('sha256').update(sha256).update(kit).digest('hex')}.mjs`);
    if (existsSync(place)) return { place };
    const made = await runBundler(child, { name, text: contents, kit: join(kitDir, 'index.js') }, timers);
    if ('fault' in made) return made;
    if (made.code.length > MAX_CODE_CHARS) return { fault: `${name} is too large` };
    writeWhole(place, made.code);
    return { place };
  };
}

/** Removes made files that no source of now leads to. */
export function forgetMade(cacheDir: string, places: readonly string[]): void {
  if (!existsSync(cacheDir)) return;
  for (const name of readdirSync(cacheDir)) {
    const place = join(cacheDir, name);
    if (!places.includes(place)) rmSync(place, { force: true });
  }
}

function writeWhole(place: string, code: string): void {
  mkdirSync(dirname(place), { recursive: true, mode: 0o700 });
  const fresh = `${place}.${process.pid}`;
  writeFileSync(fresh, code, { mode: 0o600 });
  renameSync(fresh, place);
}

async function runBundler(
  child: string,
  order: { name: string; text: string; kit: string },
  timers: Timers,
): Promise<{ code: string } | { fault: string }> {
  const running = spawn(process.execPath, [child], { stdio: ['pipe', 'pipe', 'pipe'], env: {}, windowsHide: true });
  const cancel = timers.after(LIMIT_MS, () => running.kill('SIGKILL'));
  const ended = new Promise<void>(resolve => {
    running.once('error', () => resolve());
    running.once('close', () => resolve());
  });
  // A bundler that ended before it took its order is told by its output.
  running.stdin.on('error', () => running.kill('SIGKILL'));
  running.stdin.end(JSON.stringify(order));
  const [out, complaint] = await Promise.all([text(running.stdout), text(running.stderr), ended]);
  cancel();
  if (out !== '') return JSON.parse(out) as { code: string } | { fault: string };
  const why = complaint.split('\n').find(line => /Error|error/.test(line)) ?? 'it did not answer';
  return { fault: printable(`${order.name} could not be made into an adapter: ${why}`) };
}
