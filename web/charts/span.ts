/** Which stretch of time the Now drawing shows: hours behind, hours ahead, and the buckets of the past in it. */

const HOUR_MS = 3_600_000;

export interface Span {
  fromMs: number;
  nowMs: number;
  toMs: number;
}

/** Hours ahead that are ever drawn; what lies further is told in words. */
const AHEAD_STEPS_H = [12, 18, 24, 36, 48];

/**
 * @param nowAt agent's wall clock
 * @param lastAt latest moment that should be on the drawing (the late end of the range), or null
 * @param narrow a phone shows less past
 */
export function spanAround(nowAt: number, lastAt: number | null, narrow: boolean): Span {
  const wishH = lastAt === null ? 0 : (lastAt - nowAt) / HOUR_MS + 0.5;
  const steps = narrow ? [11, ...AHEAD_STEPS_H.slice(1)] : AHEAD_STEPS_H;
  const aheadH = steps.find(h => h >= wishH) ?? steps.at(-1)!;
  const behindH = (narrow ? 8 : 12) * (aheadH > 24 ? 1.5 : 1);
  // Whole minutes, so that the drawing does not creep by a hair each second.
  const nowMs = Math.floor(nowAt / 60_000) * 60_000;
  return { fromMs: nowMs - behindH * HOUR_MS, nowMs, toMs: nowMs + aheadH * HOUR_MS };
}
