/**
 * Panels and ports of several stations taken as one lot: which panels go into which port of which station. Pure. The
 * harshest weather of their places holds for all, as nobody knows yet which panel will stand where.
 */
import { type Allocations, allocate, type Panel, type Port, panelOf, portOf, type Weather } from '#energy/wiring/index';
import type { StationSettings } from '#messages';

/** A choice over several ports, with what it is about. */
export interface Together extends Allocations {
  kinds: readonly Panel[];
  ports: readonly Port[];
  weather: Weather;
  stations: number;
}

/** What the selected station has, as it is being tried. */
export interface OwnLot {
  name: string;
  kinds: readonly Panel[];
  ports: readonly Port[];
  weather: Weather;
}

/**
 * All stations whose ports are told; null where the selected one is the only one.
 *
 * @param nameKind a name for panels of one kind that were named apart
 */
export function allStations(
  own: OwnLot,
  others: readonly StationSettings[],
  nameKind: (panel: Panel) => string,
): Together | null {
  const joining = others.filter(({ solarPort }) => solarPort.length > 0);
  if (joining.length === 0) return null;
  const kinds = ofOneKind([...own.kinds, ...joining.flatMap(({ panel }) => panel.map(panelOf))], nameKind);
  const names = namesApart([own.name, ...joining.map(({ name }) => name)]);
  const ports = [own.ports, ...joining.map(({ solarPort }) => namedApart(solarPort.map(port => portOf(port))))].flatMap(
    (list, i) => list.map(port => ({ ...port, station: names[i]! })),
  );
  const told = (of: 'coldestC' | 'hottestC') =>
    [own.weather[of], ...joining.map(({ place }) => place?.[of])].filter(value => typeof value === 'number');
  const [cold, hot] = [told('coldestC'), told('hottestC')];
  const weather = {
    coldestC: cold.length === 0 ? null : Math.min(...cold),
    hottestC: hot.length === 0 ? null : Math.max(...hot),
  };
  return { ...allocate(kinds, ports, weather), kinds, ports, weather, stations: names.length };
}

/** Panels alike in all that wiring asks are one kind, however they are named. */
export function ofOneKind(panels: readonly Panel[], nameKind: (panel: Panel) => string): Panel[] {
  const kinds = new Map<string, Panel>();
  for (const panel of panels) {
    const key = JSON.stringify({ ...panel, name: '', count: 0 });
    const before = kinds.get(key);
    const name = before === undefined || before.name === panel.name ? panel.name : nameKind(panel);
    kinds.set(key, { ...panel, name, count: panel.count + (before?.count ?? 0) });
  }
  return [...kinds.values()];
}

/** Ports without a name of their own are told apart by their number. */
export function namedApart(ports: readonly Port[]): Port[] {
  const names = namesApart(ports.map(({ name }) => name));
  return ports.map((port, i) => ({ ...port, name: names[i]! }));
}

const namesApart = (names: readonly string[]): string[] =>
  names.map((name, i) => (names.filter(other => other === name).length > 1 ? `${name} ${i + 1}` : name));
