/**
 * What was true of a station on a day: its panels, how they stand, and where. From the record's dated facts; a day
 * before the first word about a thing takes that word, since the owner typed it later than it became true.
 */
import * as v from 'valibot';
import type { Plane } from '#energy/laws/incidence';
import { lossShare, PORTABLE_LOSSES_PCT, UNKNOWN_POWER_PER_K } from '#energy/laws/pvwatts';
import type { StandingPanels } from '#energy/ledger/clear-day';
import { DEFAULT_TURBIDITY, type SkyPlace } from '#energy/sky';
import {
  type Fact,
  PanelSettings,
  PlaceSettings,
  SolarPortSettings,
  type StationSettings,
  TariffSettings,
} from '#messages';

export interface DayFacts {
  /** Rating of all panels, W; null where none is known. */
  ratedW: number | null;
  /** null where a panel's plane is not known: neither its own nor that of the spots it stood at all day. */
  panels: StandingPanels[] | null;
  place: SkyPlace | null;
  ceilingPct: number;
  /** What the ports take together, W; null where one does not say. */
  portsMaxW: number | null;
}

const KEYS = ['panel', 'place', 'solarPort', 'chargeCeilingPct', 'paid', 'zone'] as const;

/** The settings of today as if they had always been true: for a record that holds no facts. */
export function factsOfSettings(station: StationSettings, tariff?: TariffSettings): Fact[] {
  const said = [...KEYS.map(key => [key, station[key]] as const), ['tariff', tariff] as const];
  return said.map(([key, value]) => ({
    station: station.id,
    key,
    valueJson: value === undefined ? null : JSON.stringify(value),
    validFromMs: 0,
  }));
}

/** What a key said at an instant, read by its schema; null where it said nothing, or nothing that is understood. */
function factAt<T>(facts: readonly Fact[], key: string, schema: v.GenericSchema<unknown, T>, atMs: number): T | null {
  const said = facts.filter(fact => fact.key === key).sort((a, b) => a.validFromMs - b.validFromMs);
  const fact = said.findLast(one => one.validFromMs <= atMs) ?? said[0];
  if (fact === undefined) return null;
  let value = read.get(fact);
  if (value === undefined) {
    const parsed = fact.valueJson === null ? null : v.safeParse(schema, JSON.parse(fact.valueJson));
    // A fact of another version's shape is not known, rather than guessed at.
    value = parsed?.success === true ? parsed.output : null;
    read.set(fact, value);
  }
  return value as T | null;
}

/** Facts already read: a year's days ask for the same few. A key has one schema. */
const read = new WeakMap<Fact, unknown>();

/** What a kilowatt-hour cost at an instant; null where the owner did not say. */
export const tariffAt = (facts: readonly Fact[], atMs: number): TariffSettings | null =>
  factAt(facts, 'tariff', TariffSettings, atMs);

/** What the station and the panels it had at an instant cost together; null where one of them does not say. */
export function paidFor(facts: readonly Fact[], atMs: number): number | null {
  const station = factAt(facts, 'paid', v.number(), atMs);
  const panels = (factAt(facts, 'panel', v.array(PanelSettings), atMs) ?? []).map(({ paid }) => paid ?? Number.NaN);
  const sum = panels.reduce((a, b) => a + b, station ?? Number.NaN);
  return Number.isNaN(sum) ? null : sum;
}

/**
 * @param atMs the middle of the day
 * @param carriedTo how panels stood whose own plane is not known, where spots told it all day; null otherwise
 */
export function factsAt(facts: readonly Fact[], atMs: number, carriedTo: Plane | null = null): DayFacts {
  const said = <T>(key: string, schema: v.GenericSchema<unknown, T>): T | null => factAt(facts, key, schema, atMs);
  const panels = said('panel', v.array(PanelSettings)) ?? [];
  const place = said('place', PlaceSettings);
  const ports = said('solarPort', v.array(SolarPortSettings)) ?? [];
  const limits = ports.map(port => port.maxW ?? Number.NaN).reduce((a, b) => a + b, 0);
  return {
    ratedW: panels.length === 0 ? null : panels.reduce((sum, p) => sum + p.ratedW * p.count, 0),
    panels: standing(panels, carriedTo),
    place: place && {
      latitudeDeg: place.latitudeDeg,
      longitudeDeg: place.longitudeDeg,
      altitudeM: place.altitudeM ?? 0,
      turbidity: place.turbidity ?? DEFAULT_TURBIDITY,
    },
    ceilingPct: said('chargeCeilingPct', v.number()) ?? 100,
    portsMaxW: ports.length === 0 || Number.isNaN(limits) ? null : limits,
  };
}

function standing(panels: readonly PanelSettings[], carriedTo: Plane | null): StandingPanels[] | null {
  const known = panels.flatMap(({ ratedW, count, tiltDeg, azimuthDeg, powerPctPerK }) => {
    const own =
      tiltDeg === undefined || (azimuthDeg === undefined && tiltDeg > 0)
        ? null
        : { tiltDeg, azimuthDeg: azimuthDeg ?? 0 };
    const plane = own ?? carriedTo;
    return plane === null
      ? []
      : {
          peakW: ratedW * count,
          powerPerK: powerPctPerK === undefined ? UNKNOWN_POWER_PER_K : powerPctPerK / 100,
          lossShare: lossShare(PORTABLE_LOSSES_PCT),
          plane,
        };
  });
  return known.length === 0 || known.length < panels.length ? null : known;
}
