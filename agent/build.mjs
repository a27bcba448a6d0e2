/**
 * Builds what is missing or stale: `node agent/build.mjs [--all]`. Plain JavaScript, since it runs before anything is
 * compiled. Compiles the rooms that run (with --all also the tests), bundles the command line and the agent into
 * dist/program (one file loads faster and takes less memory than two hundred) and the page into dist/web.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const stampOf = part => join(root, 'dist', `.built-${part}`);

/** Newest modification time of the given files and of all below the given folders, ms. Every start waits for it. */
function newest(paths) {
  let latest = 0;
  const look = full => {
    const stat = statSync(full);
    if (!stat.isDirectory()) latest = Math.max(latest, stat.mtimeMs);
    else for (const name of readdirSync(full)) if (!name.startsWith('.')) look(`${full}/${name}`);
  };
  for (const path of paths) look(join(root, path));
  return latest;
}

const isStale = (part, paths) => !existsSync(stampOf(part)) || statSync(stampOf(part)).mtimeMs < newest(paths);

/** The stamp carries the time the build began: a file saved meanwhile is stale again. */
function stamp(part, beganMs) {
  mkdirSync(join(root, 'dist'), { recursive: true });
  writeFileSync(stampOf(part), new Date(beganMs).toISOString());
}

/** What the adapters that come with it say of themselves, so that an agent need not run them to know. */
async function noteAdapters() {
  const { builtInAdapters } = await import(pathToFileURL(join(root, 'dist', 'protocol-adapters', 'index.js')).href);
  const manifests = builtInAdapters.map(({ manifest }) => manifest);
  writeFileSync(join(root, 'dist', 'agent', 'host', 'built-in.json'), JSON.stringify(manifests));
}

/** Left out of the bundle: what has native parts, and what ws takes only where an owner installed it. */
const FROM_PACKAGES = ['better-sqlite3', 'serialport', 'bufferutil', 'utf-8-validate'];
/** ws is written for require. */
const WITH_REQUIRE = "import { createRequire } from 'node:module';\nconst require = createRequire(import.meta.url);";

/**
 * Names stay and lines stay short, so that a stack trace can be read; `node --enable-source-maps` shows the sources.
 * Verbs and what is seldom needed are files of their own, loaded when asked for.
 */
async function bundleProgram() {
  const outdir = join(root, 'dist', 'program');
  rmSync(outdir, { recursive: true, force: true });
  const { build: bundle } = await import('esbuild');
  // A page waits for the process that reads the record. In a bundle of its own, so that it cuts the agent's into no pieces.
  for (const entry of ['agent/main.ts', 'agent/commands/run/read-child.ts']) await bundle(options(entry, outdir));
}

function options(entry, outdir) {
  return {
    absWorkingDir: root,
    entryPoints: [entry],
    outdir,
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'node20.19',
    conditions: ['source'],
    external: FROM_PACKAGES,
    banner: { js: WITH_REQUIRE },
    minifyWhitespace: true,
    minifySyntax: true,
    lineLimit: 120,
    legalComments: 'linked',
    sourcemap: 'linked',
    logLevel: 'warning',
  };
}

const PROGRAM = ['agent', 'protocol-adapters', 'simulators', 'web', 'package.json', 'tsconfig.json'];

/**
 * Builds in a process of its own where something is stale: what the compiler took would stay with an agent that runs
 * for months.
 *
 * @returns whether the program can run; what went wrong was printed otherwise
 */
export function ensureBuilt() {
  // Installed without its sources there is nothing to build.
  if (!existsSync(join(root, 'agent', 'main.ts'))) return existsSync(join(root, 'dist', 'program', 'main.js'));
  if (!isStale('program', PROGRAM)) return true;
  return spawnSync(process.execPath, [fileURLToPath(import.meta.url)], { stdio: ['ignore', 2, 2] }).status === 0;
}

/** @returns whether the program can run; prints what went wrong otherwise */
async function build(all) {
  const part = all ? 'all' : 'program';
  const paths = all ? [...PROGRAM, 'test'] : PROGRAM;
  if (!isStale(part, paths)) return true;
  console.error('wattkeep: building, a few seconds …');
  const beganMs = Date.now();
  const tsc = join(root, 'node_modules', 'typescript', 'bin', 'tsc');
  if (!existsSync(tsc)) {
    console.error('wattkeep: the packages are not installed. Run: npm ci');
    return false;
  }
  const rooms = all ? [] : ['agent', 'simulators', 'web'];
  const compiled = spawnSync(process.execPath, [tsc, '-b', ...rooms], { cwd: root, stdio: ['ignore', 2, 2] });
  if (compiled.status !== 0) return false;
  if (isStale('program', PROGRAM)) {
    await noteAdapters();
    await bundleProgram();
  }
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
  process.exitCode = (await build(process.argv.includes('--all'))) ? 0 : 1;
}
