/**
 * What Wiring shows, from what the station was told and what is being tried: kinds of panel, the port, every way with
 * its verdict, the chosen one. Pure; every judgement and number comes from the science of wiring.
 */
import {
  type Allocations,
  type Arrangement,
  allocate,
  checkArrangements,
  type Panel,
  type Port,
  panelOf,
  portOf,
  type Way,
  type Weather,
} from '#energy/wiring/index';
import type { PanelSettings, StationSettings } from '#messages';

/** Numbers tried in the view; undefined where Setup's hold. */
export interface Tried {
  /** Of each kind, how many panels are used. */
  counts: readonly (number | undefined)[];
  coldestC: number | undefined;
}
export const NOTHING_TRIED: Tried = { counts: [], coldestC: undefined };

/** Groups of Setup without which there is nothing to draw. */
export type Missing = 'panels' | 'ports' | 'place';

export interface Wiring {
  kinds: readonly Panel[];
  ports: readonly Port[];
  port: Port;
  weather: Weather;
  /** Best first. */
  arrangements: readonly Arrangement[];
  chosen: Arrangement;
  /** With several ports what goes into each; null with one. */
  together: Allocations | null;
  /** What the chosen way cannot be judged without. */
  missing: readonly Missing[];
}

export interface Choice {
  tried: Tried;
  portIndex: number;
  /** Null: the best one. */
  way: Way | null;
}

/** @param nameKind a name for panels of one kind that the owner named each apart */
export function wiringOf(
  station: StationSettings,
  { tried, portIndex, way }: Choice,
  nameKind: (panel: Panel) => string,
): Wiring | { missing: readonly Missing[] } {
  const told = kindsOf(station.panel, nameKind);
  const nothing: Missing[] = [
    ...(told.length === 0 ? (['panels'] as const) : []),
    ...(station.solarPort.length === 0 ? (['ports'] as const) : []),
  ];
  if (nothing.length > 0) return { missing: nothing };
  const kinds = told.map((panel, i) => ({ ...panel, count: tried.counts[i] ?? panel.count }));
  const ports = namedApart(station.solarPort.map(port => portOf(port)));
  const port = ports[portIndex] ?? ports[0]!;
  const { place } = station;
  const weather = { coldestC: tried.coldestC ?? place?.coldestC ?? null, hottestC: place?.hottestC ?? null };
  const arrangements = checkArrangements(kinds, port, weather);
  const key = way === null ? null : keyOf(way);
  const chosen = arrangements.find(({ strings }) => keyOf(strings) === key) ?? arrangements[0]!;
  return {
    kinds,
    ports,
    port,
    weather,
    arrangements,
    chosen,
    together: ports.length > 1 ? allocate(kinds, ports, weather) : null,
    missing: missingFor(chosen),
  };
}

export const keyOf = (way: Way): string => JSON.stringify(way);

/** Panels alike in all that wiring asks are one kind, however they are named and wherever they face. */
export function kindsOf(panels: readonly PanelSettings[], nameKind: (panel: Panel) => string): Panel[] {
  const kinds = new Map<string, Panel>();
  for (const told of panels) {
    const panel = panelOf(told);
    const key = JSON.stringify({ ...panel, name: '', count: 0 });
    const before = kinds.get(key);
    const name = before === undefined || before.name === panel.name ? panel.name : nameKind(panel);
    kinds.set(key, { ...panel, name, count: panel.count + (before?.count ?? 0) });
  }
  return [...kinds.values()];
}

/** Ports without a name of their own are told apart by their number. */
function namedApart(ports: readonly Port[]): Port[] {
  const taken = (name: string) => ports.filter(port => port.name === name).length > 1;
  return ports.map((port, i) => (taken(port.name) ? { ...port, name: `${port.name} ${i + 1}` } : port));
}

function missingFor({ reasons }: Arrangement): Missing[] {
  const codes = new Set(reasons.map(({ code }) => code));
  return [
    ...(codes.has('panelUnknown') ? (['panels'] as const) : []),
    ...(codes.has('portUnknown') ? (['ports'] as const) : []),
    ...(codes.has('coldestUnknown') ? (['place'] as const) : []),
  ];
}
