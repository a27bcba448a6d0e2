/** What the settings and the adapters say of the stations whose trials are asked about: travels to the reading process. */
import type { StandingPanels } from '#energy/estimates/pointing/asked';
import type { StationSettings, TariffSettings } from '#messages';

export interface KnownStation {
  readonly settings: StationSettings;
  readonly gives: readonly string[];
  /** IANA zone in force. */
  readonly zone: string;
  /** Usual time between two readings. */
  readonly intervalMs: number;
  /** As they stand now. */
  readonly panels: readonly StandingPanels[];
  /** Most the solar ports take together, W; null where not told. */
  readonly portMaxW: number | null;
}

export interface TrialsKnown {
  readonly version: string;
  /** The demo's record. */
  readonly simulated: boolean;
  readonly stations: readonly KnownStation[];
  readonly tariff: TariffSettings | null;
}

export const knownStation = (known: TrialsKnown, id: string): KnownStation | undefined =>
  known.stations.find(({ settings }) => settings.id === id);

/** Of one that left the settings the record knows only the id. */
export const stationName = (known: TrialsKnown, id: string): string => knownStation(known, id)?.settings.name ?? id;
