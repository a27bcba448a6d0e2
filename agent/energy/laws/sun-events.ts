/**
 * Sunrise and sunset between two instants, found by searching the sun's elevation. A routine that folds the event into
 * the same UTC day can be minutes off where the event falls on the other side of 00h UTC; a search cannot.
 *
 * Definition: the sun's centre, seen from the earth's centre, at −0.8333° (refraction 0.5667°, semi-diameter 0.2667°):
 * I. Reda and A. Andreas, NREL/TP-560-34302 (2008), A.2.
 */
import { PARALLAX_DEG, sunPosition } from './sun-position.ts';

/** True elevation from the ground at rise and set. */
export const RISE_SET_ELEVATION_DEG = -0.8333 - PARALLAX_DEG;
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
 * Every sunrise and sunset in [fromMs, toMs), in order, to half a second of the formulas.
 *
 * @param latitudeDeg north positive
 * @param longitudeDeg east positive
 */
export function sunEvents(fromMs: number, toMs: number, latitudeDeg: number, longitudeDeg: number): SunEvents {
  const above = (t: number) => sunPosition(t, latitudeDeg, longitudeDeg).elevationDeg - RISE_SET_ELEVATION_DEG;
  const times = samplesOf(fromMs, toMs, above);
  const events: SunEvent[] = [];
  for (let i = 1; i < times.length; i++) {
    const [t0, t1] = [times[i - 1]!, times[i]!];
    const before = above(t0) < 0;
    if (before !== above(t1) < 0) events.push({ kind: before ? 'sunrise' : 'sunset', at: crossing(above, t0, t1) });
  }
  return { events, polar: events.length > 0 ? null : above(fromMs) < 0 ? 'down' : 'up' };
}

/** Instants with at most one event between neighbours: even steps, and the turning points that graze the horizon. */
function samplesOf(fromMs: number, toMs: number, above: (t: number) => number): number[] {
  const even: number[] = [];
  for (let t = fromMs; t < toMs; t += STEP_MS) even.push(t);
  even.push(toMs);
  const heights = even.map(above);
  return even.flatMap((t, i) => {
    const [a, b, c] = [heights[i - 1], heights[i]!, heights[i + 1]];
    if (a === undefined || c === undefined || a < 0 !== b < 0 || b < 0 !== c < 0) return [t];
    const turns = b < 0 ? b >= a && b >= c : b <= a && b <= c;
    if (!turns) return [t];
    const turn = turningPoint(above, b < 0, even[i - 1]!, even[i + 1]!);
    return turn < t ? [turn, t] : turn > t ? [t, turn] : [t];
  });
}

/** The highest instant (or the lowest) between two, to half a second: thirds are cut off the side that is worse. */
function turningPoint(f: (t: number) => number, highest: boolean, t0: number, t1: number): number {
  let [lo, hi] = [t0, t1];
  while (hi - lo > 500) {
    const [a, b] = [lo + (hi - lo) / 3, hi - (hi - lo) / 3];
    if (f(a) < f(b) === highest) lo = a;
    else hi = b;
  }
  return Math.round((lo + hi) / 2);
}

/** Bisection to under half a second; `f` has opposite signs at both ends. */
function crossing(f: (t: number) => number, t0: number, t1: number): number {
  const before = f(t0) < 0;
  let [lo, hi] = [t0, t1];
  while (hi - lo > 500) {
    const mid = (lo + hi) / 2;
    if (f(mid) < 0 === before) lo = mid;
    else hi = mid;
  }
  return Math.round((lo + hi) / 2);
}
