/**
 * The light expected over a recorded station, W/m² under a cloudless sky; where no place is known, a usual day by the
 * clock.
 */
import type { StationSettings } from '#messages';
import { clearLightOver, usualLightOver } from '../derive/clear-light.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
/** Two weeks of minutes: more than a projection looks ahead and back at any time. */
const KEPT = 20_160;

/** @param zone IANA zone of the clock where no place is known */
export function lightOver(station: StationSettings | null, zone: string): (atMs: number) => number {
  const panels = station?.panel ?? [];
  return byMinute(
    clearLightOver(
      station?.place ?? null,
      panels.map(({ ratedW, count, tiltDeg, azimuthDeg }) => ({ ratedW: ratedW * count, tiltDeg, azimuthDeg })),
    ) ?? usualLightOver(zone),
  );
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
