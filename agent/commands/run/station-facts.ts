/** What the settings say about a station, as derive and the page want it, and as dated facts for the record. */
import type { Fact, PlaceSettings, StationSettings, TariffSettings, WireStation } from '#messages';
import type { StationFacts } from '../../derive/facts.ts';
import type { ReadBy } from './sources.ts';

/** Keys whose change is a dated fact: last year keeps what was true then. */
const DATED = [
  'ratedWh',
  'paid',
  'idleW',
  'reserveFloorPct',
  'chargeCeilingPct',
  'lowCutoffPct',
  'inputSource',
  'solarPort',
  'panel',
  'place',
  'zone',
  'paid',
] as const satisfies readonly (keyof StationSettings)[];

/** Time between values an owner types in: no energy is ever integrated over it. */
const TYPED_INTERVAL_MS = 60_000;

/** What the ports take together; unknown where one of them does not say. */
function solarMaxW(station: StationSettings): number | null {
  const limits = station.solarPort.map(port => port.maxW ?? Number.NaN);
  const sum = limits.reduce((a, b) => a + b, 0);
  return limits.length === 0 || Number.isNaN(sum) ? null : sum;
}

/** @param machineZone IANA zone of this computer, where the station has none of its own */
export const zoneOf = (station: StationSettings, machineZone: string): string => station.zone ?? machineZone;

/**
 * @param intervalMs the adapter's, or null for a typed station
 * @param counterSteps steps its counters hold, where its adapter knows
 */
export function factsOf(
  station: StationSettings,
  intervalMs: number | null,
  machineZone: string,
  counterSteps: number | null = null,
): StationFacts {
  return {
    intervalMs: intervalMs ?? TYPED_INTERVAL_MS,
    zone: zoneOf(station, machineZone),
    ratedWh: station.ratedWh ?? null,
    floorPct: station.reserveFloorPct,
    ceilingPct: station.chargeCeilingPct,
    lowCutoffPct: station.lowCutoffPct,
    inputSource: station.inputSource,
    panels: station.panel.map(({ ratedW, count, tiltDeg, azimuthDeg }) => ({
      ratedW: ratedW * count,
      tiltDeg,
      azimuthDeg,
    })),
    solarMaxW: solarMaxW(station),
    place: station.place ?? null,
    counterSteps,
    named: station.load,
  };
}

/** The same, of a station read by what its adapters are known for. */
export const factsAsRead = (station: StationSettings, read: ReadBy, machineZone: string): StationFacts =>
  factsOf(station, read.intervalMs, machineZone, read.counterSteps);

const coordinates = ({ latitudeDeg, longitudeDeg }: PlaceSettings) => ({ latitudeDeg, longitudeDeg });

/** @param gives quantities its adapter declares */
export function wireStation(
  station: StationSettings,
  gives: readonly string[],
  simulated: boolean,
  machineZone: string,
): WireStation {
  return {
    id: station.id,
    name: station.name,
    adapter: station.adapter,
    transport: station.transport.kind,
    simulated,
    zone: zoneOf(station, machineZone),
    ratedWh: station.ratedWh ?? null,
    reserveFloorPct: station.reserveFloorPct,
    chargeCeilingPct: station.chargeCeilingPct,
    lowCutoffPct: station.lowCutoffPct,
    solarMaxW: solarMaxW(station),
    gives: [...gives],
    inputSource: station.inputSource,
    place: station.place === undefined ? null : coordinates(station.place),
  };
}

/**
 * The facts that changed against what the record holds, valid from now.
 *
 * @param tariff what a kilowatt-hour costs, kept with every station: last year is reckoned at last year's price
 */
export function changedFacts(
  station: StationSettings,
  tariff: TariffSettings | undefined,
  known: readonly Fact[],
  nowMs: number,
): Fact[] {
  const newest = new Map<string, Fact>();
  for (const fact of known) {
    const before = newest.get(fact.key);
    if (before === undefined || before.validFromMs <= fact.validFromMs) newest.set(fact.key, fact);
  }
  const now = [...DATED.map(key => [key, station[key]] as const), ['tariff', tariff] as const];
  return now.flatMap(([key, value]) => {
    const valueJson = value === undefined ? null : JSON.stringify(value);
    const before = newest.get(key)?.valueJson ?? null;
    return before === valueJson ? [] : [{ station: station.id, key, valueJson, validFromMs: nowMs }];
  });
}
