/** `wattkeep adapter list` and `adapter approve`: what lies in the owner's folder, and the word that lets it run. */
import type { OwnAdapter } from '#messages';
import { builtInManifests } from '../host/built-in.ts';
import { openShelf, type Shelf } from '../own-adapters/index.ts';
import { parseArguments } from '../settings/index.ts';
import { folderOf } from './adapter-place.ts';
import { adapterEntry, openAdapterHost } from './adapter-processes.ts';
import { ADAPTER_APPROVE_HELP, ADAPTER_LIST_HELP, approvedNow, ownLines } from './adapter-words.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { dataDirOf } from './open-past.ts';
import { ownAdaptersTold } from './run/own-told.ts';
import { clock, timers } from './surroundings.ts';

const FOLDERS = ['data', 'settings'];

/** Looks at the folder with the same parts as the agent, then lets go of them. */
async function withShelf<T>(
  dist: string,
  option: (name: string) => string | undefined,
  act: (shelf: Shelf) => T,
): Promise<T> {
  const host = openAdapterHost(dist);
  try {
    const shelf = openShelf({
      folder: folderOf(option('settings')),
      dataDir: dataDirOf(option('data')),
      dist,
      builtInIds: builtInManifests(adapterEntry(dist)).map(({ id }) => id),
      timers,
      manifestOf: place => host.manifestOf(place),
    });
    await shelf.look();
    return act(shelf);
  } finally {
    await host.close();
  }
}

export async function adapterList({ argv, dist }: Invocation): Promise<number> {
  const { values, switches } = parseArguments(argv, { values: FOLDERS, switches: ['json', 'help'] });
  if (switches.has('help')) {
    process.stdout.write(ADAPTER_LIST_HELP);
    return 0;
  }
  const told = await withShelf(
    dist,
    name => values.get(name)?.[0],
    shelf => ownAdaptersTold(shelf.folder, shelf.list()),
  );
  process.stdout.write(switches.has('json') ? `${JSON.stringify(told)}\n` : ownLines(told.folder, told.adapters));
  return 0;
}

export async function adapterApprove({ argv, dist }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: [...FOLDERS, 'sha256'],
    switches: ['json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(ADAPTER_APPROVE_HELP);
    return 0;
  }
  const [word, ...others] = words;
  if (word === undefined || others.length > 0)
    throw usage('adapter approve takes one id or file name.', 'wattkeep adapter list shows them.');
  const approved = await withShelf(
    dist,
    name => values.get(name)?.[0],
    shelf => approve(shelf, word, values.get('sha256')?.[0]),
  );
  process.stdout.write(switches.has('json') ? `${JSON.stringify(approved)}\n` : approvedNow(approved));
  return 0;
}

function approve(shelf: Shelf, word: string, sha256: string | undefined): OwnAdapter {
  const fix = 'wattkeep adapter list shows what is there.';
  const own = shelf.list().find(({ id, file }) => id === word || file === word);
  if (own === undefined) throw usage(`There is no adapter ${word.slice(0, 60)} in ${shelf.folder}.`, fix);
  if (own.manifest === null) throw usage(`${own.says}. Nothing was approved.`, fix);
  if (sha256 !== undefined && sha256 !== own.sha256)
    throw usage(`${own.file} has the SHA-256 ${own.sha256}, not the one given. Nothing was approved.`, fix);
  shelf.approve(own.file, own.sha256, clock.nowMs());
  return ownAdaptersTold(shelf.folder, [{ ...own, state: 'approved' }]).adapters[0]!;
}
