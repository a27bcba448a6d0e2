/**
 * `wattkeep adapter check FILE`: the conformance suite on one adapter, an owner's file or the id of one that comes with
 * wattkeep. It runs contained, in a process of its own. Exit status 1 where a check failed.
 */
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { type Capture, conformanceText, parseCapture, WattkeepError } from '#kit';
import { checkContained } from '../host/check-contained.ts';
import { createBundler, readSource } from '../own-adapters/index.ts';
import { parseArguments } from '../settings/index.ts';
import { ADAPTER_CHECK_HELP, cannotCheck, MEND_FIX } from './adapter-check-words.ts';
import type { Invocation } from './invocation.ts';
import { numberWithin, usage } from './numbers.ts';
import { timers } from './surroundings.ts';

const MAX_CAPTURE_BYTES = 16_000_000;
const DEFAULT_SEED = 1;
const MAX_SEED = 2 ** 32 - 1;

export async function adapterCheck({ argv, dist }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['capture', 'seed'],
    repeatable: ['capture'],
    switches: ['json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(ADAPTER_CHECK_HELP);
    return 0;
  }
  const [file, ...others] = words;
  if (file === undefined || others.length > 0) {
    throw usage('adapter check takes one file.', 'Write wattkeep adapter check FILE.');
  }
  const seed = numberWithin('--seed', values.get('seed')?.[0], 0, MAX_SEED) ?? DEFAULT_SEED;
  const captures = (values.get('capture') ?? []).map(readCapture);
  const workDir = mkdtempSync(join(tmpdir(), 'wattkeep-check-'));
  try {
    const place = await placeOf(file, dist, workDir);
    const entryPath = join(dist, 'agent', 'host', 'check-child.js');
    const report = await checkContained(place, { captures, seed }, { entryPath, timers });
    if (typeof report === 'string') throw new WattkeepError('ADAPTER_CRASHED', cannotCheck(file, report), MEND_FIX);
    process.stdout.write(switches.has('json') ? `${JSON.stringify(report)}\n` : conformanceText(report));
    return report.ok ? 0 : 1;
  } finally {
    rmSync(workDir, { recursive: true, force: true });
  }
}

/** An owner's file is made into one with the kit inside, as it would be for the agent. */
async function placeOf(file: string, dist: string, cacheDir: string): Promise<string> {
  if (/^[a-z0-9-]+$/.test(file) && !existsSync(file)) return file;
  const whole = resolve(file);
  const source = readSource(dirname(whole), basename(whole));
  if ('fault' in source) throw usage(`${source.fault}.`, 'Name the file of an adapter, or the id of one of wattkeep.');
  const made = await createBundler({ dist, cacheDir, timers })(source);
  if ('fault' in made) throw new WattkeepError('ADAPTER_UNKNOWN', made.fault, MEND_FIX);
  return made.place;
}

function readCapture(file: string): Capture {
  if (!existsSync(file)) throw usage(`There is no capture ${file}.`, 'Record one with wattkeep adapter capture.');
  if (statSync(file).size > MAX_CAPTURE_BYTES) {
    throw usage(
      `${file} is larger than ${MAX_CAPTURE_BYTES / 1e6} MB.`,
      'Cut it: each line of a capture stands by itself.',
    );
  }
  const capture = parseCapture(basename(file), readFileSync(file, 'utf8'));
  if ('fault' in capture) throw usage(`${capture.fault}.`, 'Record one with wattkeep adapter capture.');
  return capture;
}
