/**
 * `wattkeep adapter check FILE`: the conformance suite on one adapter, an owner's file or the id of one that comes with
 * wattkeep. It runs contained, in a process of its own. Exit status 1 where a check failed.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { conformanceText, WattkeepError } from '#kit';
import { checkContained } from '../host/check-contained.ts';
import { parseArguments } from '../settings/index.ts';
import { ADAPTER_CHECK_HELP, cannotCheck } from './adapter-check-words.ts';
import { placeOf } from './adapter-place.ts';
import { MEND_FIX } from './adapter-words.ts';
import type { Invocation } from './invocation.ts';
import { numberWithin, usage } from './numbers.ts';
import { readCapture } from './read-capture.ts';
import { timers } from './surroundings.ts';

const DEFAULT_SEED = 1;
const MAX_SEED = 2 ** 32 - 1;

export async function adapterCheck({ argv, dist }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['capture', 'seed', 'settings'],
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
    const { adapter } = await placeOf(file, { dist, cacheDir: workDir, settings: values.get('settings')?.[0] });
    const entryPath = join(dist, 'agent', 'host', 'check-child.js');
    const report = await checkContained(adapter, { captures, seed }, { entryPath, timers });
    if (typeof report === 'string') throw new WattkeepError('ADAPTER_CRASHED', cannotCheck(file, report), MEND_FIX);
    process.stdout.write(switches.has('json') ? `${JSON.stringify(report)}\n` : conformanceText(report));
    return report.ok ? 0 : 1;
  } finally {
    rmSync(workDir, { recursive: true, force: true });
  }
}
