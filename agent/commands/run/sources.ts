/**
 * What a station is read from: one adapter and link, or several parts with one each. The settings' paths, the time
 * between readings and the quantities follow from it.
 */
import { type AdapterManifest, COUNTER_NAMES, type Quantities } from '#kit';
import type { PartSettings, StationSettings, TypedValues } from '#messages';
import { compositeIntervalMs } from '../../stations/index.ts';

export interface Source {
  readonly adapter: string;
  readonly transport: PartSettings['transport'];
  /** Where it stands below the station in the settings, with a dot before it; '' for the station itself. */
  readonly below: string;
}

/** The adapters and links of a station, typed ones left out. */
export function sourcesOf({ adapter, transport }: Pick<StationSettings, 'adapter' | 'transport'>): Source[] {
  const all: Source[] =
    transport.kind === 'parts'
      ? transport.part.map((part, i) => ({ ...part, below: `.transport.part.${i}` }))
      : [{ adapter, transport, below: '' }];
  return all.filter(source => source.transport.kind !== 'typed');
}

/** Time between a part's readings; null where it is typed, speaks only on change or is not known yet. */
export function partIntervalMs(part: PartSettings, manifests: readonly AdapterManifest[]): number | null {
  const manifest = part.transport.kind === 'typed' ? undefined : manifests.find(m => m.id === part.adapter);
  return manifest === undefined || manifest.onChangeOnly === true ? null : manifest.intervalMs;
}

export interface ReadBy {
  /** Between readings; null where they are typed. */
  readonly intervalMs: number | null;
  readonly gives: readonly string[];
  /** Steps its counters hold before they begin at 0 again; null: not known, or not the same for all its parts. */
  readonly counterSteps: number | null;
}

/** How a station is read, as far as its adapters are known. */
export function readBy(station: StationSettings, manifests: readonly AdapterManifest[]): ReadBy {
  const { transport } = station;
  if (transport.kind === 'parts') {
    const parts = transport.part.map(part => ({ intervalMs: partIntervalMs(part, manifests) }));
    const isTyped = sourcesOf(station).length === 0;
    return {
      intervalMs: isTyped ? null : compositeIntervalMs(parts),
      gives: transport.part.flatMap(part => part.gives),
      counterSteps: stepsOfAll(transport.part, manifests),
    };
  }
  const manifest = transport.kind === 'typed' ? undefined : manifests.find(m => m.id === station.adapter);
  return {
    intervalMs: manifest?.intervalMs ?? null,
    gives: manifest?.gives ?? [],
    counterSteps: manifest?.counterSteps ?? null,
  };
}

const counts = ({ gives }: PartSettings): boolean => COUNTER_NAMES.some(name => gives.includes(name));

function stepsOfAll(parts: readonly PartSettings[], manifests: readonly AdapterManifest[]): number | null {
  const known = (part: PartSettings) => manifests.find(m => m.id === part.adapter)?.counterSteps ?? null;
  const all = new Set(parts.filter(counts).map(known));
  const [steps = null] = all;
  return all.size === 1 ? steps : null;
}

const ON_SCREEN = ['inputPowerW', 'outputPowerW', 'stateOfChargePct'] as const;

/** What is wrong with values typed for a station, or null. */
export function typedLack({ transport }: StationSettings, values: TypedValues): { what: string; fix: string } | null {
  if (transport.kind === 'typed') {
    const lacking = ON_SCREEN.filter(name => values[name] === undefined);
    return lacking.length === 0 ? null : { what: `needs ${lacking.join(', ')} too`, fix: 'Type all three numbers.' };
  }
  const parts = transport.kind === 'parts' ? transport.part.filter(part => part.transport.kind === 'typed') : [];
  if (parts.length === 0) return { what: 'is read by an adapter', fix: 'Choose "typed" in Setup first.' };
  const given: readonly string[] = parts.flatMap(part => part.gives);
  const strange = Object.keys(values).filter(name => !given.includes(name));
  return strange.length === 0
    ? null
    : { what: `has no typed part that gives ${strange.join(', ')}`, fix: `Type ${given.join(', ')}.` };
}

/** Only what was typed. */
export const given = (values: TypedValues): Quantities =>
  Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));
