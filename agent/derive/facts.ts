/** What the owner said about a station, in force now. */
import type { NamedLoad } from '#energy/estimates/plugged-in/named-loads';
import type { InputSource } from '#kit';
import type { PlaneFrom } from './standing.ts';

export interface StationPlace {
  latitudeDeg: number;
  longitudeDeg: number;
  altitudeM?: number | undefined;
  /** Linke turbidity. */
  turbidity?: number | undefined;
}

export interface PanelPlane {
  /** All of its kind together, W. */
  ratedW: number;
  tiltDeg?: number | undefined;
  azimuthDeg?: number | undefined;
}

export interface StationFacts {
  intervalMs: number;
  zone: string;
  ratedWh: number | null;
  floorPct: number;
  ceilingPct: number;
  lowCutoffPct: number;
  inputSource: InputSource;
  panels: readonly PanelPlane[];
  /** Most the solar ports take together, W; null where not told. */
  solarMaxW: number | null;
  place: StationPlace | null;
  /** Steps its counters hold before they begin at 0 again; null or absent: not known. */
  counterSteps?: number | null | undefined;
  /** How the panels stood at the spots they were carried to, by time; before the first as `panels` say. */
  standing?: readonly PlaneFrom[] | undefined;
  /** What is plugged in, as the owner named it. */
  named?: readonly NamedLoad[] | undefined;
}

/** Rated power of all panels, W; null where none is known. */
export const panelsRatedW = ({ panels }: StationFacts): number | null =>
  panels.length === 0 ? null : panels.reduce((sum, panel) => sum + panel.ratedW, 0);
