/**
 * The light expected over a station, W/m² under a cloudless sky: on its panels where it is known how they stand, else on
 * the level; where no place is known, a usual day by the clock.
 */
import { zoneOffsetMs } from '#energy/civil-day';
import { usualDayWm2 } from '#energy/estimates/usual-day';
import { totalWm2 } from '#energy/laws/plane-of-array';
import { onPlane } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import type { StationSettings } from '#messages';
import { factsAt, factsOfSettings } from './ledger-facts.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
/** A week of minutes: more than a projection looks ahead and back at any time. */
const KEPT = 10_080;

/** @param zone IANA zone of the clock where no place is known */
export function lightOver(station: StationSettings | null, zone: string): (atMs: number) => number {
  const { place, panels } = station === null ? { place: null, panels: null } : factsAt(factsOfSettings(station), 0);
  if (place === null) return byMinute(atMs => usualDayWm2(atMs, zoneOffsetMs(atMs, zone)));
  const skyAt = clearSkyOver(place);
  if (panels === null) return byMinute(atMs => skyAt(atMs).ghiWm2);
  const ratedW = panels.reduce((sum, p) => sum + p.peakW, 0);
  return byMinute(atMs => {
    const sky = skyAt(atMs);
    return panels.reduce((sum, p) => sum + (totalWm2(onPlane(sky, p.plane)) * p.peakW) / ratedW, 0);
  });
}

/** No sun within two hours of an instant. */
export const isDark = (lightWm2: (atMs: number) => number, atMs: number): boolean =>
  lightWm2(atMs - 2 * HOUR_MS) === 0 && lightWm2(atMs) === 0 && lightWm2(atMs + 2 * HOUR_MS) === 0;

/** Projections made minute after minute ask for the same minutes over and over. */
function byMinute(lightWm2: (atMs: number) => number): (atMs: number) => number {
  const kept = new Map<number, number>();
  return atMs => {
    const minute = Math.floor(atMs / MINUTE_MS);
    let light = kept.get(minute);
    if (light === undefined) {
      light = lightWm2((minute + 0.5) * MINUTE_MS);
      if (kept.size >= KEPT) kept.delete(kept.keys().next().value!);
      kept.set(minute, light);
    }
    return light;
  };
}
