/**
 * The owner's adapters as they stand now: each file of the folder, what it is made into, what its manifest says, and
 * whether the owner approved exactly this file. Nothing here is run before it is shown, except to read its manifest, in
 * a contained process of its own.
 */
import { createHash } from 'node:crypto';
import { basename, join } from 'node:path';
import { type AdapterManifest, printable } from '#kit';
import { type Bundled, createBundler, forgetMade } from './bundle.ts';
import { addPin, type Pin, readPins } from './pins.ts';
import { listFolder, readSource, type SourceFile, stampOf } from './source-file.ts';
import type { OwnAdapter, Shelf, ShelfParts } from './terms.ts';

/** A file that was looked at, and the stamp it had then. */
interface Looked {
  readonly stamp: string;
  readonly sha256: string;
  readonly fault: string;
  readonly manifest: AdapterManifest | null;
  readonly place: string | null;
}

export function openShelf(parts: ShelfParts): Shelf {
  const { folder, dataDir } = parts;
  const kept = join(dataDir, 'adapters');
  const madeDir = join(kept, 'made');
  const pinsPlace = pinsPlaceOf(dataDir);
  const bundle = createBundler({ ...parts, cacheDir: madeDir });
  const looked = new Map<string, Looked>();
  let pins: Pin[] = readPins(pinsPlace);
  let list: readonly OwnAdapter[] = [];
  let turn: Promise<unknown> = Promise.resolve();

  async function lookAt(name: string): Promise<void> {
    const stamp = stampOf(join(folder, name));
    if (looked.get(name)?.stamp === stamp) return;
    const source = readSource(folder, name);
    const before = looked.get(name);
    if ('fault' in source) looked.set(name, { stamp, sha256: '', fault: source.fault, manifest: null, place: null });
    // Saved again without a change, or touched.
    else if (before?.sha256 === source.sha256) looked.set(name, { ...before, stamp });
    else looked.set(name, { stamp, ...(await take(source)) });
  }

  async function take(source: SourceFile): Promise<Omit<Looked, 'stamp'>> {
    const { sha256 } = source;
    const made: Bundled = await bundle(source);
    if ('fault' in made) return { sha256, fault: printable(made.fault, 300), manifest: null, place: null };
    const manifest = await parts.manifestOf(made.place);
    if (typeof manifest === 'string')
      return { sha256, fault: `${source.name}: ${manifest}`, manifest: null, place: null };
    return { sha256, fault: '', manifest, place: made.place };
  }

  async function look(): Promise<boolean> {
    const names = listFolder(folder) ?? [];
    for (const name of looked.keys()) if (!names.includes(name)) looked.delete(name);
    for (const name of names) await lookAt(name);
    pins = readPins(pinsPlace);
    forgetMade(
      madeDir,
      [...looked.values()].flatMap(({ place }) => place ?? []),
    );
    const before = JSON.stringify(list);
    list = judgeAll(looked, pins, parts.builtInIds);
    return JSON.stringify(list) !== before;
  }

  return {
    folder,
    list: () => list,
    pinned: () => pins.map(({ id }) => id),
    allows(place, manifest) {
      // Its name is a hash; the folders above it may be links.
      const own = list.find(adapter => adapter.place !== null && basename(adapter.place) === basename(place));
      return own?.approved?.manifestSha256 === hashOf(manifest);
    },
    look() {
      const mine = turn.then(look);
      turn = mine.catch(() => undefined);
      return mine;
    },
    approve(file, sha256, nowMs) {
      const found = list.find(adapter => adapter.file === file);
      if (found === undefined) return 'gone';
      if (found.manifest === null) return 'broken';
      if (found.sha256 !== sha256) return 'changed';
      const { id, version } = found.manifest;
      const manifestSha256 = hashOf(found.manifest);
      addPin(pinsPlace, { id, file, sha256, version, manifestSha256, approvedAt: new Date(nowMs).toISOString() });
      return 'approved';
    },
  };
}

/** Each file against the pins, and against the others: an id belongs to one of them. */
function judgeAll(
  looked: ReadonlyMap<string, Looked>,
  pins: readonly Pin[],
  builtInIds: readonly string[],
): readonly OwnAdapter[] {
  const owners = new Map<string, string>(builtInIds.map(id => [id, '']));
  // The file that was approved under an id keeps it, whatever comes beside it.
  for (const { id, file } of pins) if (looked.get(file)?.manifest?.id === id && !owners.has(id)) owners.set(id, file);
  return [...looked].sort(([a], [b]) => (a < b ? -1 : 1)).map(([file, one]) => judge(file, one, pins, owners));
}

function judge(file: string, one: Looked, pins: readonly Pin[], owners: Map<string, string>): OwnAdapter {
  const { sha256, manifest, place } = one;
  const pin = pins.find(p => p.id === manifest?.id) ?? pins.find(p => p.file === file) ?? null;
  const base = { file, sha256, id: manifest?.id ?? pin?.id ?? null, manifest, place: null, approved: pin };
  if (manifest === null) return { ...base, state: 'broken', says: one.fault };
  const owner = owners.get(manifest.id) ?? file;
  if (owner !== file) return { ...base, state: 'broken', says: takenBy(file, manifest.id, owner), manifest: null };
  owners.set(manifest.id, file);
  if (pin?.id !== manifest.id) return { ...base, state: 'asks', says: '' };
  return pin.sha256 === sha256 && pin.manifestSha256 === hashOf(manifest)
    ? { ...base, state: 'approved', says: '', place }
    : { ...base, state: 'changed', says: '' };
}

/** A file that tells another manifest than it did is another adapter. */
const hashOf = (manifest: AdapterManifest): string =>
  createHash('sha256').update(JSON.stringify(manifest)).digest('hex');

const takenBy = (file: string, id: string, owner: string): string =>
  owner === ''
    ? `${file}: its id "${id}" is that of an adapter that comes with wattkeep; give it another`
    : `${file}: its id "${id}" is that of ${owner}; give it another`;

/** How many files there are, and which of them are not those that were approved. Nothing is made or run. */
export function lookAtFolder(folder: string, dataDir: string): { files: number; unapproved: string[] } {
  const names = listFolder(folder) ?? [];
  const pins = readPins(pinsPlaceOf(dataDir));
  const unapproved = names.filter(name => {
    const source = readSource(folder, name);
    return 'fault' in source || !pins.some(({ sha256 }) => sha256 === source.sha256);
  });
  return { files: names.length, unapproved };
}

const pinsPlaceOf = (dataDir: string): string => join(dataDir, 'adapters', 'approved.json');
