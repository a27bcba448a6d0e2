/** `wattkeep restore FILE`: a proven snapshot in the place of the record. A dry run unless --write is given. */
import { join } from 'node:path';
import { parseArguments } from '../settings/index.ts';
import { planRestore, restoreSnapshot } from '../store/keep/restore.ts';
import type { Invocation } from './invocation.ts';
import { NOTHING_CHANGED, RESTORE_HELP, restored, restorePlanned } from './keep-words.ts';
import { dataDirOf } from './open-past.ts';
import { clock } from './surroundings.ts';

export async function restore({ argv, version }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, { values: ['data'], switches: ['write', 'json', 'help'] });
  const [file] = words;
  if (switches.has('help') || file === undefined) {
    process.stdout.write(RESTORE_HELP);
    return switches.has('help') ? 0 : 2;
  }
  const dir = join(dataDirOf(values.get('data')?.at(-1)), 'record');
  const plan = planRestore(dir, file);
  const write = switches.has('write');
  const kept = write ? restoreSnapshot(dir, file, { atMs: clock.nowMs(), program: version }) : null;
  const told = write ? restored(kept) : NOTHING_CHANGED;
  process.stdout.write(
    switches.has('json')
      ? `${JSON.stringify({ file, written: write, kept, ...plan })}\n`
      : `${restorePlanned(file, plan.manifest, plan.present, plan.trouble)}${told}`,
  );
  return 0;
}
