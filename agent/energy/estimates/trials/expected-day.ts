/** What a cloudless sky would have given panels at any moment, and how far that may be off; for the trials under the sun. */

import { onPlane, panelPowerW, UNKNOWN_AIR } from '../../panel-power.ts';
import { clearSkyOver, type SkyPlace } from '../../sky.ts';
import type { StandingPanels } from '../pointing/asked.ts';
import { expectedBand, faced, panelsFor } from '../pointing/expected.ts';
import { normalTerm, type Source, type Term } from './terms.ts';

const MINUTE_MS = 60_000;

/** Watts at an instant, reckoned by the minute and joined; null where it is not known how the panels stand. */
export function clearWatts(place: SkyPlace, panels: readonly StandingPanels[]): ((atMs: number) => number) | null {
  const standing = faced(panels);
  if (standing === null) return null;
  const sky = clearSkyOver(place);
  const kept = new Map<number, number>();
  const atMinute = (minute: number): number => {
    let watts = kept.get(minute);
    if (watts === undefined) {
      const seen = sky(minute * MINUTE_MS);
      watts = standing.reduce((sum, p) => sum + panelPowerW(onPlane(seen, p.plane), UNKNOWN_AIR, panelsFor(p)), 0);
      kept.set(minute, watts);
    }
    return watts;
  };
  return atMs => {
    const minute = Math.floor(atMs / MINUTE_MS);
    const share = atMs / MINUTE_MS - minute;
    return atMinute(minute) * (1 - share) + atMinute(minute + 1) * share;
  };
}

const SOURCES: Record<string, Source> = {
  air: 'air',
  warmth: 'warmth',
  label: 'panelLabel',
  dirt: 'panelLabel',
  plane: 'clearSky',
};
/** A spread is the range of 19 in 20. */
const TO_DEVIATION = 1 / 1.96;
/** Beyond all named: a clear-sky law is known to some 10 % a day. */
const LAW_SHARE = 0.05;

/** Relative errors of the expectation, as of an instant at which most of it comes. */
export function clearTerms(
  place: SkyPlace,
  turbidityTold: boolean,
  panels: readonly StandingPanels[],
  atMs: number,
): Term[] {
  const band = expectedBand({
    place,
    turbidityTold,
    panels,
    air: UNKNOWN_AIR,
    airTold: false,
    atMs,
    portMaxW: null,
    day: { startMs: atMs, endMs: atMs + MINUTE_MS },
  });
  return [
    normalTerm('clearSky', LAW_SHARE),
    ...(band?.spreads ?? []).map(({ of, pct }) => normalTerm(SOURCES[of]!, (pct / 100) * TO_DEVIATION)),
  ];
}
