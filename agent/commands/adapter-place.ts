/** Where adapters lie: the owner's folder, and the file or built-in that a word on the command line stands for. */
import { existsSync } from 'node:fs';
import { homedir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { WattkeepError } from '#kit';
import { createBundler, readSource } from '../own-adapters/index.ts';
import { defaultPaths } from '../settings/index.ts';
import { MEND_FIX } from './adapter-words.ts';
import { usage } from './numbers.ts';
import { adaptersFolder } from './run/adapters.ts';
import { timers } from './surroundings.ts';

/** @param settings the option --settings, undefined where not given */
export const settingsPathOf = (settings: string | undefined): string =>
  settings ?? (process.env.WATTKEEP_SETTINGS || defaultPaths(process.platform, process.env, homedir()).settingsFile);

export const folderOf = (settings: string | undefined): string => adaptersFolder(settingsPathOf(settings));

const ENDINGS = ['.ts', '.js', '.mjs'];

/** The file of the owner's folder that a name without ending stands for; null where it stands for none. */
function fileOfName(name: string, settings: string | undefined): string | null {
  if (!/^[a-z0-9-]+$/.test(name) || existsSync(name)) return null;
  const folder = folderOf(settings);
  return ENDINGS.map(ending => join(folder, name + ending)).find(existsSync) ?? null;
}

/** What the host runs. */
export interface AdapterPlace {
  /** Absolute path of a built file, or the id of a built-in. */
  readonly adapter: string;
  readonly own: boolean;
}

/**
 * Makes a file ready to run, as the agent would. What is neither a file nor the name of one is taken for a built-in's id.
 *
 * @param cacheDir where the made file is put
 * @throws WattkeepError USAGE, ADAPTER_UNKNOWN
 */
export async function placeOf(
  word: string,
  { dist, cacheDir, settings }: { dist: string; cacheDir: string; settings: string | undefined },
): Promise<AdapterPlace> {
  const file = fileOfName(word, settings) ?? (existsSync(word) ? word : null);
  if (file === null) {
    if (/^[a-z0-9-]+$/.test(word)) return { adapter: word, own: false };
    throw usage(`There is no file ${word}.`, 'Name the file of an adapter, or the id of one of wattkeep.');
  }
  const whole = resolve(file);
  const source = readSource(dirname(whole), basename(whole));
  if ('fault' in source) throw usage(`${source.fault}.`, MEND_FIX);
  const made = await createBundler({ dist, cacheDir, timers })(source);
  if ('fault' in made) throw new WattkeepError('ADAPTER_UNKNOWN', `${made.fault}.`, MEND_FIX);
  return { adapter: made.place, own: true };
}
