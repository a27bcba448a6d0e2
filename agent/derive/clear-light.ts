/**
 * The clear-sky light on a station's panels: each panel's plane where its tilt and turn are known, level ground where
 * not, weighted by rated watts. null without a place.
 */
import { totalWm2 } from '#energy/laws/plane-of-array';
import { onPlane } from '#energy/panel-power';
import { clearSkyOver, DEFAULT_TURBIDITY } from '#energy/sky';
import type { PanelPlane, StationPlace } from './facts.ts';

/** @returns W/m² at an instant */
export function clearLightOver(
  place: StationPlace | null,
  panels: readonly PanelPlane[],
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
    if (all === 0) return now.ghiWm2;
    const onPlanes = planes.reduce((sum, { plane, ratedW }) => sum + ratedW * totalWm2(onPlane(now, plane)), 0);
    return (onPlanes + (all - known) * now.ghiWm2) / all;
  };
}
