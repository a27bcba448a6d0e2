/**
 * What Wiring shows, from what the station was told and what is being tried: kinds of panel, the port, every way with
 * its verdict, the chosen one. Pure; every judgement and number comes from the science of wiring.
 */
import {
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
import { allStations, namedApart, ofOneKind, type Together } from './all-stations.ts';

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
  together: Together | null;
  /** The same over the ports of all stations; null where no other has any. */
  everywhere: Together | null;
  /** What the chosen way cannot be judged without. */
  missing: readonly Missing[];
}

export interface Choice {
  tried: Tried;
  portIndex: number;
  /** Null: the best one. */
  way: Way | null;
  /** The stations beside the selected one. */
  others?: readonly StationSettings[];
}

/** @param nameKind a name for panels of one kind that the owner named each apart */
export function wiringOf(
  station: StationSettings,
  { tried, portIndex, way, others = [] }: Choice,
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
    together: ports.length > 1 ? { ...allocate(kinds, ports, weather), kinds, ports, weather, stations: 1 } : null,
    everywhere: allStations({ name: station.name, kinds, ports, weather }, others, nameKind),
    missing: missingFor(chosen),
  };
}

export const keyOf = (way: Way): string => JSON.stringify(way);

/** The kinds of panel that a station was told, wherever they face. */
export const kindsOf = (panels: readonly PanelSettings[], nameKind: (panel: Panel) => string): Panel[] =>
  ofOneKind(panels.map(panelOf), nameKind);

function missingFor({ reasons }: Arrangement): Missing[] {
  const codes = new Set(reasons.map(({ code }) => code));
  return [
    ...(codes.has('panelUnknown') ? (['panels'] as const) : []),
    ...(codes.has('portUnknown') ? (['ports'] as const) : []),
    ...(codes.has('coldestUnknown') ? (['place'] as const) : []),
  ];
}
