/**
 * The clear-sky light on a station's panels: each panel's plane where its tilt and turn are known, level ground where
 * not, weighted by rated watts; where they stood at a spot whose plane is known, that one. Where no place is known, a usual day by the clock of its zone.
 */
import { zoneOffsetMs } from '#energy/civil-day';
import { usualDayWm2 } from '#energy/estimates/usual-day';
import { totalWm2 } from '#energy/laws/plane-of-array';
import { onPlane } from '#energy/panel-power';
import { clearSkyOver, DEFAULT_TURBIDITY } from '#energy/sky';
import type { PanelPlane, StationPlace } from './facts.ts';
import { type PlaneFrom, spotPlaneOf } from './standing.ts';

/**
 * W/m² at an instant; null without a place.
 *
 * @param standing how the panels stood at the spots they were carried to, by time
 */
export function clearLightOver(
  place: StationPlace | null,
  panels: readonly PanelPlane[],
  standing: readonly PlaneFrom[] = [],
): ((atMs: number) => number) | null {
  if (place === null) return null;
  const sky = clearSkyOver({
    latitudeDeg: place.latitudeDeg,
    longitudeDeg: place.longitudeDeg,
    altitudeM: place.altitudeM ?? 0,
    turbidity: place.turbidity ?? DEFAULT_TURBIDITY,
  });
  const planes = panels.flatMap(({ tiltDeg, azimuthDeg, ratedW }) =>
    tiltDeg === undefined || azimuthDeg === undefined ? [] : [{ plane: { tiltDeg, azimuthDeg }, ratedW }],
  );
  const known = planes.reduce((sum, p) => sum + p.ratedW, 0);
  const all = panels.reduce((sum, p) => sum + p.ratedW, 0);
  return atMs => {
    const now = sky(atMs);
    if (now.ghiWm2 <= 0) return 0;
    const spot = spotPlaneOf(standing, atMs);
    if (spot !== null) return totalWm2(onPlane(now, spot));
    if (all === 0) return now.ghiWm2;
    const onPlanes = planes.reduce((sum, { plane, ratedW }) => sum + ratedW * totalWm2(onPlane(now, plane)), 0);
    return (onPlanes + (all - known) * now.ghiWm2) / all;
  };
}

const QUARTER_MS = 900_000;
const OFFSETS_KEPT = 4000;

/** The light of a usual day, W/m² on the level at an instant. @param zone IANA zone of the clock */
export function usualLightOver(zone: string): (atMs: number) => number {
  // Asked for the same weeks of minutes over and over; no zone changes within a quarter of an hour.
  const offsets = new Map<number, number>();
  return atMs => {
    const quarter = Math.floor(atMs / QUARTER_MS);
    let offset = offsets.get(quarter);
    if (offset === undefined) {
      offset = zoneOffsetMs(atMs, zone);
      if (offsets.size >= OFFSETS_KEPT) offsets.clear();
      offsets.set(quarter, offset);
    }
    return usualDayWm2(atMs, offset);
  };
}
