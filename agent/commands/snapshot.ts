/** `wattkeep snapshot FILE`: the owner's record as one proven file, beside a running agent or without one. */
import { join } from 'node:path';
import { parseArguments } from '../settings/index.ts';
import { snapshotRecord } from '../store/keep/snapshot-record.ts';
import type { Invocation } from './invocation.ts';
import { SNAPSHOT_HELP, snapshotMade } from './keep-words.ts';
import { dataDirOf } from './open-past.ts';
import { clock } from './surroundings.ts';

export async function snapshot({ argv, version }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, { values: ['data'], switches: ['json', 'help'] });
  const [file] = words;
  if (switches.has('help') || file === undefined) {
    process.stdout.write(SNAPSHOT_HELP);
    return switches.has('help') ? 0 : 2;
  }
  const dir = join(dataDirOf(values.get('data')?.at(-1)), 'record');
  const manifest = snapshotRecord(dir, file, { atMs: clock.nowMs(), program: version });
  process.stdout.write(
    switches.has('json') ? `${JSON.stringify({ file, ...manifest })}\n` : snapshotMade(file, manifest),
  );
  return 0;
}
