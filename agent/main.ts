/**
 * The command line's door: finds the verb, runs it, and turns what goes wrong into one line and an exit status. With
 * agent/host's entry files the only place where everything is put together.
 */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { WattkeepError } from '#kit';
import { exitStatus } from './commands/exit.ts';
import type { Verb } from './commands/invocation.ts';
import { unwritten } from './commands/unwritten.ts';
import { complaint, UNEXPECTED_FIX } from './commands/words.ts';

/** dist, as this file lies in dist/program, where it is bundled. */
const DIST = dirname(dirname(fileURLToPath(import.meta.url)));

const VERBS: Record<string, () => Promise<Verb>> = {
  ledger: async () => (await import('./commands/ledger.ts')).ledger,
  import: async () => (await import('./commands/import.ts')).importRecording,
  export: async () => (await import('./commands/export.ts')).exportRecording,
  snapshot: async () => (await import('./commands/snapshot.ts')).snapshot,
  restore: async () => (await import('./commands/restore.ts')).restore,
  aim: async () => (await import('./commands/aim.ts')).aim,
  wiring: async () => (await import('./commands/wiring.ts')).wiring,
  outlast: async () => (await import('./commands/outlast.ts')).outlast,
  plan: async () => (await import('./commands/plan.ts')).plan,
  trial: async () => (await import('./commands/trial.ts')).trial,
  adapter: async () => (await import('./commands/adapter.ts')).adapter,
  share: async () => (await import('./commands/share.ts')).share,
  pair: async () => (await import('./commands/pair.ts')).pair,
  token: async () => (await import('./commands/token.ts')).token,
  service: async () => (await import('./commands/service.ts')).service,
  doctor: async () => (await import('./commands/doctor.ts')).doctor,
};

const [first, ...rest] = process.argv.slice(2);
/** Without a verb it is the agent. */
const named = first !== undefined && Object.hasOwn(VERBS, first) ? VERBS[first] : undefined;

async function main(): Promise<number> {
  const { version } = JSON.parse(readFileSync(join(dirname(DIST), 'package.json'), 'utf8')) as { version: string };
  if (named === undefined) return runAgent(version);
  await compileHotCode();
  const verb = await named();
  return verb({ argv: rest, dist: DIST, version });
}

async function runAgent(version: string): Promise<number> {
  const zones = (await import('./commands/run/zone-child.ts')).beginZones(DIST);
  try {
    const { run } = await import('./commands/run/run.ts');
    return await run({ argv: process.argv.slice(2), dist: DIST, version }, zones);
  } finally {
    zones.close();
  }
}

/** `npm start` spares the agent V8's optimising compiler and its memory; a verb has its work done and ends. */
async function compileHotCode(): Promise<void> {
  const { setFlagsFromString } = await import('node:v8');
  for (const flag of ['--opt', '--no-max-lazy']) setFlagsFromString(flag);
}

function complain(error: unknown): void {
  const known = error instanceof WattkeepError;
  const message = error instanceof Error ? error.message : String(error);
  console.error(complaint(message, known ? error.fix : UNEXPECTED_FIX, known ? error.code : 'INTERNAL'));
  if (!known && error instanceof Error && process.env.WATTKEEP_DEBUG === '1') console.error(error.stack);
  process.exitCode = known ? exitStatus(error.code) : 1;
}

// A full disk or a reader that went away: the agent goes on, its log and the page tell; a verb has told nothing then.
process.stderr.on('error', () => undefined);
process.stdout.on('error', (cause: NodeJS.ErrnoException) => {
  if (named === undefined) return;
  // Whoever read along has enough, as `head` does.
  if (cause.code === 'EPIPE') process.exit(0);
  complain(unwritten(cause, 'standard output'));
  process.exit();
});

try {
  process.exitCode = await main();
} catch (error) {
  complain(error);
}
