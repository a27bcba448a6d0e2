/**
 * The light of a cloudless day where nobody said where the station stands: a half wave from 06:30 to 18:30 local clock
 * time, W/m² on the level. An assumption without a source: right to an hour or two between the tropics and 50°, wrong in
 * high summer, in winter and in the far north. What panels make of it is learned from what they gave.
 */

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
const RISE_H = 6.5;
const SET_H = 18.5;
const NOON_WM2 = 900;

/** @param offsetMs local minus universal time */
export function usualDayWm2(atMs: number, offsetMs: number): number {
  const local = atMs + offsetMs;
  const hour = (local - Math.floor(local / DAY_MS) * DAY_MS) / HOUR_MS;
  return hour <= RISE_H || hour >= SET_H ? 0 : NOON_WM2 * Math.sin((Math.PI * (hour - RISE_H)) / (SET_H - RISE_H));
}
