/**
 * The adapters this agent can use: those that come with it, and the owner's own as far as they are approved. A station
 * names one by its id; what that leads to may change at any moment, when a file is saved or approved.
 */
import { dirname, join } from 'node:path';
import { type AdapterManifest, type Timers, WattkeepError } from '#kit';
import type { Settings } from '#messages';
import type { AdapterHost } from '../../host/adapter-host.ts';
import type { Log } from '../../log/log.ts';
import { type OwnAdapter, type OwnState, openShelf, type Shelf, watchFolders } from '../../own-adapters/index.ts';
import { sourcesOf } from './sources.ts';

/** The owner's folder: beside the settings file, so that it is found where settings are. */
export const adaptersFolder = (settingsPath: string): string => join(dirname(settingsPath), 'adapters');

export interface AdaptersParts {
  settingsPath: string;
  dataDir: string;
  dist: string;
  host: AdapterHost;
  /** What the adapters that come with it say of themselves. */
  builtIn: readonly AdapterManifest[];
  timers: Timers;
  log: Log;
  /** Something of the owner's own changed: stations may run or have to stop. */
  onChange(): void;
}

/** What a station's adapter leads to now. */
export type Found =
  /** What the host is told to run: a built-in's id, or the place of an approved file. */
  | { run: string }
  /** It may not run; no failure while that is still being found out. */
  | { held: 'adapterAsks' | 'adapterChanged' | 'adapterBroken' | 'adapterMissing' | undefined; detail: string };

export interface Adapters {
  readonly folder: string;
  /** Built-ins first. Own ones are among them before they are approved, as Setup may name them already. */
  manifests(): readonly AdapterManifest[];
  find(id: string): Found;
  own(): readonly OwnAdapter[];
  /** The owner's name for what runs from a built file. */
  nameOf(place: string): string;
  /** Whether what runs from a built file tells the manifest that was approved. */
  allows(place: string, manifest: AdapterManifest): boolean;
  /** Throws REQUEST_REFUSED where the file is not as it was shown. */
  approve(file: string, sha256: string, nowMs: number): Promise<void>;
  /** Adapters that stations name and nobody offers. Throws ADAPTER_UNKNOWN. */
  refuseUnknown(settings: Settings): void;
  /** Resolves once `refuseUnknown` can judge these settings. */
  ready(settings: Settings): Promise<void>;
  close(): void;
}

const HELD = { asks: 'adapterAsks', changed: 'adapterChanged', broken: 'adapterBroken' } as const satisfies Partial<
  Record<OwnState, string>
>;

export function openAdapters(parts: AdaptersParts): Adapters {
  const { host, log, timers } = parts;
  const { builtIn } = parts;
  const folder = adaptersFolder(parts.settingsPath);
  const shelf: Shelf = openShelf({
    ...parts,
    folder,
    builtInIds: builtIn.map(({ id }) => id),
    manifestOf: place => host.manifestOf(place),
  });
  let looked = false;

  const look = async (): Promise<void> => {
    try {
      const changed = await shelf.look();
      const first = !looked;
      looked = true;
      if (changed || (first && shelf.pinned().length > 0)) parts.onChange();
    } catch (cause) {
      log.error('adapter', 'the folder of your own adapters could not be looked at', { folder, cause: String(cause) });
    }
  };
  const first = look();
  const watching = watchFolders([folder, join(parts.dataDir, 'adapters')], timers, look);
  const knows = (id: string): boolean =>
    [...builtIn.map(m => m.id), ...shelf.pinned(), ...shelf.list().map(own => own.id)].includes(id);

  return {
    folder,
    manifests: () => [...builtIn, ...shelf.list().flatMap(({ manifest }) => manifest ?? [])],
    own: () => shelf.list(),
    nameOf: place => shelf.list().find(own => own.place === place)?.file ?? place,
    allows: (place, manifest) => shelf.allows(place, manifest),
    find(id) {
      if (builtIn.some(m => m.id === id)) return { run: id };
      const own = shelf.list().find(adapter => adapter.id === id);
      if (own === undefined) return { held: looked ? 'adapterMissing' : undefined, detail: looked ? folder : '' };
      return own.state === 'approved' ? { run: own.place! } : { held: HELD[own.state], detail: own.says || own.file };
    },
    async approve(file, sha256, nowMs) {
      const answer = shelf.approve(file, sha256, nowMs);
      if (answer !== 'approved')
        throw new WattkeepError('REQUEST_REFUSED', NOT_APPROVED[answer](file), 'Look at the list again.');
      await look();
    },
    refuseUnknown(settings) {
      for (const [i, station] of settings.station.entries()) {
        const source = sourcesOf(station).find(({ adapter }) => !knows(adapter));
        if (source === undefined) continue;
        const { adapter, below } = source;
        const known = [...builtIn, ...shelf.list()].flatMap(({ id }) => id ?? []).join(', ');
        throw new WattkeepError(
          'ADAPTER_UNKNOWN',
          `station.${i}${below}.adapter: there is no adapter "${adapter}".`,
          `Use one of: ${known}; or put a file with that id into ${folder}.`,
        );
      }
    },
    async ready(settings) {
      const unknown = settings.station.some(station => sourcesOf(station).some(({ adapter }) => !knows(adapter)));
      if (unknown) await first;
    },
    close: () => watching.close(),
  };
}

const NOT_APPROVED = {
  changed: (file: string) => `${file} is no longer the file that was shown. Nothing was approved.`,
  broken: (file: string) => `${file} cannot be used as it is. Nothing was approved.`,
  gone: (file: string) => `There is no file ${file} in the folder. Nothing was approved.`,
};
