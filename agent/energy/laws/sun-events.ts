/**
 * Sunrise and sunset between two instants, found by searching the sun's elevation. A routine that folds the event into
 * the same UTC day can be minutes off where the event falls on the other side of 00h UTC; a search cannot.
 *
 * Definition: the sun's centre at −0.8333° (refraction 0.5667°, semi-diameter 0.2667°): Reda & Andreas 2003, A.2.
 */
import { sunPosition } from './sun-position.ts';

export const RISE_SET_ELEVATION_DEG = -0.8333;
/** Half-steps of search: two events this close together would be missed (a sun that grazes the horizon). */
const STEP_MS = 10 * 60_000;

export interface SunEvent {
  kind: 'sunrise' | 'sunset';
  at: number;
}

export interface SunEvents {
  events: SunEvent[];
  /** Set where no event falls in the span: the sun stays up or stays down. */
  polar: null | 'up' | 'down';
}

/**
 * Every sunrise and sunset in [fromMs, toMs), in order, to the nearest second.
 *
 * @param latitudeDeg north positive
 * @param longitudeDeg east positive
 */
export function sunEvents(fromMs: number, toMs: number, latitudeDeg: number, longitudeDeg: number): SunEvents {
  const above = (t: number) => sunPosition(t, latitudeDeg, longitudeDeg).elevationDeg - RISE_SET_ELEVATION_DEG;
  const events: SunEvent[] = [];
  let t0 = fromMs;
  let a0 = above(t0);
  while (t0 < toMs) {
    const t1 = Math.min(t0 + STEP_MS, toMs);
    const a1 = above(t1);
    if (a0 < 0 !== a1 < 0) events.push({ kind: a0 < 0 ? 'sunrise' : 'sunset', at: crossing(above, t0, t1) });
    t0 = t1;
    a0 = a1;
  }
  return { events, polar: events.length > 0 ? null : a0 < 0 ? 'down' : 'up' };
}

/** Bisection to under half a second; `f` has opposite signs at both ends. */
function crossing(f: (t: number) => number, t0: number, t1: number): number {
  const before = f(t0) < 0;
  let lo = t0;
  let hi = t1;
  while (hi - lo > 500) {
    const mid = (lo + hi) / 2;
    if (f(mid) < 0 === before) lo = mid;
    else hi = mid;
  }
  return Math.round((lo + hi) / 2);
}
