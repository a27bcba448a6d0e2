/**
 * What the sun's own motion makes of a measured power: the ratio of the clear sky's light at two moments, and how far
 * that can be wrong. Where the plane is not known the sun may climb on it while it sinks on level ground: the angle of
 * incidence turns by 15° an hour at most, so power changes by tan(incidence) × 0.44 % a minute at most.
 */
import type { Light } from './asked.ts';

/** Relative standard errors a minute. With the plane known: of the day's air and of how exactly it was told. */
const KNOWN_PLANE_PER_MIN = 0.0005;
/** 0.37 % is an angle of incidence of 40°; own judgement of how panels are aimed by hand. */
const UNKNOWN_PLANE_PER_MIN = 0.0028;
/** Without a place not even the sun's height is known. */
const UNKNOWN_PLACE_PER_MIN = 0.0037;
/** Share of a correction that may be wrong: the clear-sky law itself and dust. */
const OF_CORRECTION = 0.05;
/** Below this light there is nothing to be compared. */
export const DARK_WM2 = 25;

export interface Motion {
  /** Times what was measured. */
  readonly ratio: number;
  /** Standard error of the ratio, relative. */
  readonly error: number;
}

/** From one instant to another; null where the sun is too low at either, or the change too great to trust. */
export function sunMotion(light: Light | null, fromMs: number, toMs: number): Motion | null {
  const minutes = Math.abs(toMs - fromMs) / 60_000;
  if (light === null) return { ratio: 1, error: UNKNOWN_PLACE_PER_MIN * minutes };
  const [from, to] = [light.wm2(fromMs), light.wm2(toMs)];
  if (from === null || to === null) return { ratio: 1, error: UNKNOWN_PLACE_PER_MIN * minutes };
  if (from < DARK_WM2 || to < DARK_WM2) return null;
  const ratio = to / from;
  if (ratio > 3 || ratio < 1 / 3) return null;
  const perMin = light.of === 'plane' ? KNOWN_PLANE_PER_MIN : UNKNOWN_PLANE_PER_MIN;
  return { ratio, error: Math.hypot(perMin * minutes, OF_CORRECTION * Math.log(ratio)) };
}

/** The clear course over a stretch, as a share of that at its middle: a parabola through three instants. */
export function clearCourse(light: Light | null, fromMs: number, toMs: number): (atMs: number) => number {
  const middleMs = (fromMs + toMs) / 2;
  const [a, m, b] = [fromMs, middleMs, toMs].map(at => light?.wm2(at) ?? null);
  if (a == null || m == null || b == null || m < DARK_WM2 || toMs === fromMs) return () => 1;
  const bend = (a + b) / 2 - m;
  const slope = (b - a) / 2;
  return atMs => {
    const x = (2 * (atMs - middleMs)) / (toMs - fromMs);
    return 1 + (slope * x + bend * x * x) / m;
  };
}
