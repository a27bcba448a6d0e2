/**
 * Builds what is missing or stale: `node agent/build.mjs [--all]`. Plain JavaScript, since it runs before anything is
 * compiled. Compiles the rooms that run (with --all also the tests) and bundles the page into dist/web.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const stampOf = part => join(root, 'dist', `.built-${part}`);

/** Newest modification time below the given folders and files, ms. */
function newest(paths) {
  let latest = 0;
  for (const path of paths) {
    const full = join(root, path);
    const stat = statSync(full);
    if (!stat.isDirectory()) latest = Math.max(latest, stat.mtimeMs);
    else
      for (const entry of readdirSync(full, { recursive: true, withFileTypes: true }))
        if (entry.isFile() && !entry.name.startsWith('.'))
          latest = Math.max(latest, statSync(join(entry.parentPath ?? entry.path, entry.name)).mtimeMs);
  }
  return latest;
}

const isStale = (part, paths) => !existsSync(stampOf(part)) || statSync(stampOf(part)).mtimeMs < newest(paths);

/** The stamp carries the time the build began: a file saved meanwhile is stale again. */
function stamp(part, beganMs) {
  mkdirSync(join(root, 'dist'), { recursive: true });
  writeFileSync(stampOf(part), new Date(beganMs).toISOString());
}

const PROGRAM = ['agent', 'protocol-adapters', 'simulators', 'web', 'package.json', 'tsconfig.json'];

/** @returns whether the program can run; prints what went wrong otherwise */
export async function build({ all = false, quiet = true } = {}) {
  // Installed without its sources there is nothing to build.
  if (!existsSync(join(root, 'agent', 'main.ts'))) return existsSync(join(root, 'dist', 'agent', 'main.js'));
  const part = all ? 'all' : 'program';
  const paths = all ? [...PROGRAM, 'test'] : PROGRAM;
  if (!isStale(part, paths)) return true;
  if (!quiet || !existsSync(stampOf('program'))) console.error('wattkeep: building, a few seconds …');
  const beganMs = Date.now();
  const tsc = join(root, 'node_modules', 'typescript', 'bin', 'tsc');
  if (!existsSync(tsc)) {
    console.error('wattkeep: the packages are not installed. Run: npm ci');
    return false;
  }
  const rooms = all ? [] : ['agent', 'simulators', 'web'];
  const compiled = spawnSync(process.execPath, [tsc, '-b', ...rooms], { cwd: root, stdio: ['ignore', 2, 2] });
  if (compiled.status !== 0) return false;
  if (isStale('web', ['web', 'agent/energy', 'agent/messages', 'protocol-adapters/kit', 'package.json'])) {
    const { buildWeb } = await import(pathToFileURL(join(root, 'web', 'build.mjs')).href);
    await buildWeb({ root, outDir: join(root, 'dist', 'web') });
    stamp('web', beganMs);
  }
  stamp(part, beganMs);
  if (all) stamp('program', beganMs);
  return true;
}

if (process.argv[1] !== undefined && pathToFileURL(process.argv[1]).href === import.meta.url) {
  const done = await build({ all: process.argv.includes('--all'), quiet: false });
  process.exitCode = done ? 0 : 1;
}
