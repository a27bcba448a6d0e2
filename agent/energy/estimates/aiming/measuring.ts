/**
 * What a stretch tells of its spot: the mean of its last minute beside the clear course, as the power it gives in the
 * middle of that minute, how sure that is, and how the sky wandered meanwhile.
 */
import type { Light, Limit, Measure, Wander, Why } from './asked.ts';
import { averageOf } from './average.ts';
import type { Seen, Stretch } from './plateaus.ts';
import { clearCourse } from './sun-motion.ts';
import { type Beside, isUnsteady, wanderOf } from './wander.ts';
import { meanCool } from './warming.ts';

/** Farther back than this, more of it tells more of the sky than of the spot. */
export const AVERAGED_MS = 60_000;
const SKY_FROM_MS = 240_000;
/** The tracker's last steps are no weather. */
const TAIL_MS = 2_000;
const SHORT_MS = 8_000;
const LEAST_SECONDS = 3;
/** Watts below which nothing can be told by whole watts. */
const DARK_W = 3;

const NO_WANDER: Wander = { share: 0, freedom: 0 };

/** Power as it would be with the sun standing at the middle, and the cells as warm as they get. */
function beside(seen: readonly Seen[], light: Light | null): Beside[] {
  const course = clearCourse(light, seen[0]!.atMs, seen.at(-1)!.atMs);
  return seen.map(s => ({ atMs: s.atMs, value: (s.powerW * (1 - s.meanCool)) / course(s.atMs) }));
}

/** Slope of the straight line through it (least squares), a second, over the mean. */
function slopeShare(of: readonly Beside[]): number {
  const n = of.length;
  const at = of.reduce((sum, b) => sum + b.atMs, 0) / n;
  const mean = of.reduce((sum, b) => sum + b.value, 0) / n;
  const square = of.reduce((sum, b) => sum + (b.atMs - at) ** 2, 0);
  if (square === 0 || mean <= 0) return 0;
  return (1000 * of.reduce((sum, b) => sum + (b.atMs - at) * (b.value - mean), 0)) / square / mean;
}

const relative = (of: readonly Beside[]): Beside[] => {
  const mean = of.reduce((sum, b) => sum + b.value, 0) / of.length;
  return mean <= 0 ? [] : of.map(({ atMs, value }) => ({ atMs, value: value / mean }));
};

/** How the sky wandered during a stretch; null where it is too short to tell. */
export function skyOver(stretch: Stretch, light: Light | null, stepW: number): Wander | null {
  const last = stretch.seen.at(-1)?.atMs ?? 0;
  const from = Math.max(last - SKY_FROM_MS, (stretch.seen[0]?.atMs ?? 0) + TAIL_MS);
  const seen = stretch.seen.filter(s => s.atMs >= from && s.limitedBy === null);
  if (seen.length < 4) return null;
  const mean = seen.reduce((sum, s) => sum + s.powerW, 0) / seen.length;
  return mean <= 0 ? null : wanderOf(relative(beside(seen, light)), stepW ** 2 / 12 / mean ** 2);
}

/** As shares of the reference, which the sky moves alike; null where it was not told, or is too little to divide by. */
function ofReference(seen: readonly Seen[], stepW: number): Measure['ofReference'] {
  if (seen.some(s => s.referenceW === null || s.referenceW < 5 * stepW)) return null;
  const shares = seen.map(s => ({ atMs: s.atMs, value: s.powerW / s.referenceW! }));
  const reference = seen.reduce((sum, s) => sum + s.referenceW!, 0) / seen.length;
  const { mean, error } = averageOf(
    shares.map(s => s.value),
    (stepW / reference) * Math.hypot(1, shares[0]!.value),
  );
  if (mean <= 0) return null;
  const step = (stepW / reference) * Math.hypot(1, 1 / mean);
  return { mean, error, wander: wanderOf(relative(shares), step ** 2 / 12) ?? NO_WANDER };
}

function whyOf(seen: readonly Seen[], meanW: number, wander: Wander | null, limitedBy: Limit | null): Why {
  if (limitedBy !== null) return 'limited';
  if (meanW < DARK_W) return 'dark';
  if (seen.length < LEAST_SECONDS || seen.at(-1)!.atMs - seen[0]!.atMs < SHORT_MS - 1_000) return 'short';
  return isUnsteady(wander) ? 'unsteady' : 'ok';
}

/** @param stepW the station's resolution @returns null where the stretch holds nothing */
export function measureOf(stretch: Stretch, light: Light | null, stepW: number): Measure | null {
  const last = stretch.seen.at(-1);
  if (last === undefined) return null;
  const minute = stretch.seen.filter(s => s.atMs > last.atMs - AVERAGED_MS);
  const held = minute.findLast(s => s.limitedBy !== null) ?? null;
  // What came after a limit counts once there is enough of it.
  const free = held !== null && last.atMs - held.atMs > SHORT_MS;
  const seen = free ? minute.filter(s => s.atMs > held.atMs) : minute;
  const limitedBy = free ? null : (held?.limitedBy ?? null);
  const course = clearCourse(light, seen[0]!.atMs, last.atMs);
  const values = beside(seen, light);
  const average = averageOf(
    values.map(b => b.value),
    stepW,
  );
  const kept = seen.slice(average.from);
  const atMs = (kept[0]!.atMs + last.atMs) / 2;
  // Back from the middle of the minute to the middle of what was kept, warmth as it was there.
  const middle = kept.reduce((a, b) => (Math.abs(b.atMs - atMs) < Math.abs(a.atMs - atMs) ? b : a));
  const meanW = (average.mean * course(atMs)) / (1 - meanCool(middle.coolShares));
  const wander = skyOver(stretch, light, stepW);
  return {
    fromMs: kept[0]!.atMs,
    toMs: last.atMs,
    atMs,
    meanW,
    errorW: average.error,
    settledAtMs: stretch.seen[0]!.atMs,
    movedAtMs: stretch.movedAtMs,
    coolShares: middle.coolShares,
    wander: wander ?? NO_WANDER,
    slopeShare: slopeShare(values.slice(average.from)),
    ofReference: ofReference(kept, stepW),
    why: whyOf(seen, meanW, wander, limitedBy),
    limitedBy,
  };
}
