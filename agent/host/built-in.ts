/**
 * What the adapters that come with wattkeep say of themselves, as the build wrote it down beside adapter-child.js: an agent
 * knows them without running any, and one whose stations need none runs none.
 */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { type AdapterManifest, WattkeepError } from '#kit';
import { checkManifests } from './messages.ts';

const NAME = 'built-in.json';

/** @param entryPath absolute path of the built adapter-child.js. Throws INTERNAL where the build is not whole. */
export function builtInManifests(entryPath: string): readonly AdapterManifest[] {
  const path = join(dirname(entryPath), NAME);
  let manifests: readonly AdapterManifest[] | null = null;
  let why = 'it holds no manifests';
  try {
    manifests = checkManifests(JSON.parse(readFileSync(path, 'utf8')));
  } catch (cause) {
    why = String(cause);
  }
  if (manifests !== null) return manifests;
  throw new WattkeepError('INTERNAL', `${path} cannot be used: ${why}`, 'Build again: remove dist, then npm start.');
}
