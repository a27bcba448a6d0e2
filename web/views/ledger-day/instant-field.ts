/**
 * Days and times as people write them into a field, and the instant they mean in the station's zone. A civil time that
 * comes twice means its first coming; one that is skipped means none. Pure.
 */
import { shiftDate, zoneOffsetMs } from '#energy/civil-day';

const HOUR_MS = 3_600_000;

/** `2026-07-03T14:05` in the zone, as a field of day and time holds it. */
export const civilText = (at: number, zone: string): string =>
  new Date(at + zoneOffsetMs(at, zone)).toISOString().slice(0, 16);

/** The instant of a civil date and time, ISO 8601 UTC; null where the zone has no such time. */
export function instantOf(text: string, zone: string): string | null {
  const nominal = Date.parse(`${text}Z`);
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(text) || Number.isNaN(nominal)) return null;
  const offsets = new Set([-26, -1, 0, 1, 26].map(hours => zoneOffsetMs(nominal + hours * HOUR_MS, zone)));
  const found = [...offsets].map(offset => nominal - offset).filter(at => civilText(at, zone) === text);
  return found.length === 0 ? null : new Date(Math.min(...found)).toISOString();
}

/** The date of an address; null where there is no such date. */
export function dateIn(path: string): string | null {
  const text = path.split('/')[2] ?? '';
  return /^\d{4}-\d{2}-\d{2}$/.test(text) &&
    !Number.isNaN(Date.parse(`${text}T00:00:00Z`)) &&
    shiftDate(text, 0) === text
    ? text
    : null;
}
