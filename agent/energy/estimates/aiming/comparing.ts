/**
 * Two measures held against each other as of one instant: each brought there by the sun's own motion and to warm cells;
 * the error takes the scatter of both, what the sky may have wandered between them, what the correction may be wrong by,
 * and the ways of warming. With a third measure of the first spot after the second (A-B-A) a steady drift of the sky
 * cancels; with a reference that stood still the sky itself does.
 */
import type { Light, Measure, Wander } from './asked.ts';
import { sunMotion } from './sun-motion.ts';
import { CLEAR_SHARE, together } from './wander.ts';
import { overWays } from './warming.ts';

/** A measure and the clear sky of its panels. */
export interface Held {
  readonly measure: Measure;
  readonly light: Light | null;
}

export interface Difference {
  /** First less second, as of the instant asked for, W. */
  readonly differenceW: number;
  readonly giveOrTakeW: number;
  /** What the sun's motion makes of the raw difference, W. */
  readonly sunExplainsW: number;
  /** Standard errors that make up the range, W. */
  readonly by: { readonly scatterW: number; readonly skyW: number; readonly sunW: number; readonly warmthW: number };
}

/** The range must hold at whichever second one looks: wider than one that is looked at once. Own judgement, tuned. */
const LOOKED_AT_OFTEN = 1.4;

/** 97.5 % quantile of Student's t, within 2 % from three degrees of freedom on (fitted). */
const quantile = (freedom: number): number => 1.96 + 2.37 / freedom + 2.8 / freedom ** 2;

/** A value as of an instant, with its relative errors. */
interface Brought {
  readonly atMs: number;
  readonly lengthMs: number;
  readonly valueW: number;
  readonly errorW: number;
  readonly sunError: number;
  readonly cool: readonly number[];
}

function bring({ measure, light }: Held, toMs: number): Brought | null {
  const motion = sunMotion(light, measure.atMs, toMs);
  if (motion === null) return null;
  return {
    atMs: measure.atMs,
    lengthMs: measure.toMs - measure.fromMs,
    valueW: measure.meanW * motion.ratio,
    errorW: measure.errorW * motion.ratio,
    sunError: motion.error,
    cool: measure.coolShares,
  };
}

/** Variance of what a random walk differs by between the means of two stretches, relative. */
function walked(share: number, a: Brought, b: Brought): number {
  const lagS = Math.abs(a.atMs - b.atMs) / 1000;
  return share ** 2 * Math.max(lagS / 3, lagS - (a.lengthMs + b.lengthMs) / 6000);
}

/** What an even drift would make of the time between two measures: standard error as a share of the slopes seen. */
const OF_SLOPE = 0.6;

/** Relative; the longer a stretch the better it knows its slope (variance goes with the length's third power). */
function drifted(first: Measure, second: Measure): number {
  const weights = [first, second].map(m => Math.max(1, m.toMs - m.fromMs) ** 3);
  const square =
    (weights[0]! * first.slopeShare ** 2 + weights[1]! * second.slopeShare ** 2) / (weights[0]! + weights[1]!);
  return (OF_SLOPE * Math.sqrt(square) * Math.abs(first.atMs - second.atMs)) / 1000;
}

const rangeOf = (by: Difference['by'], freedom: number): number =>
  LOOKED_AT_OFTEN * quantile(freedom) * Math.hypot(by.scatterW, by.skyW, by.sunW, by.warmthW);

/**
 * @param first as of `nowMs`, less `second`
 * @param sky how the sky wandered over all of it
 * @returns null where the sun is too low at one of the moments
 */
export function differenceOf(first: Held, second: Held, nowMs: number, sky: Wander): Difference | null {
  const [a, b] = [bring(first, nowMs), bring(second, nowMs)];
  if (a === null || b === null) return null;
  const middleW = (a.valueW + b.valueW) / 2;
  const warm = overWays(k => a.valueW * (1 - (a.cool[k] ?? 0)) - b.valueW * (1 - (b.cool[k] ?? 0)));
  // Both are brought to now; what is between them is what may be wrong with the sun.
  const between = sunMotion(second.light, second.measure.atMs, first.measure.atMs);
  const by = {
    scatterW: Math.hypot(a.errorW, b.errorW),
    skyW: middleW * Math.hypot(Math.sqrt(walked(sky.share, a, b)), drifted(first.measure, second.measure)),
    sunW: b.valueW * (between?.error ?? b.sunError),
    warmthW: warm.deviation,
  };
  const rawW = first.measure.meanW - second.measure.meanW;
  return {
    differenceW: warm.mean,
    giveOrTakeW: rangeOf(by, sky.freedom),
    sunExplainsW: rawW - (a.valueW - b.valueW),
    by,
  };
}

/**
 * A-B-A: two measures of the first spot around one of the second. What they differ by is taken as drift, even in time;
 * it tells of the sky as well.
 */
export function bracketed(before: Held, second: Held, after: Held, nowMs: number, sky: Wander): Difference | null {
  const [p, b, q] = [bring(before, nowMs), bring(second, nowMs), bring(after, nowMs)];
  if (p === null || b === null || q === null || p.atMs >= b.atMs || q.atMs <= b.atMs) return null;
  const share = (b.atMs - p.atMs) / (q.atMs - p.atMs);
  const of = (x: Brought, k: number) => x.valueW * (1 - (x.cool[k] ?? 0));
  const warm = overWays(k => (1 - share) * of(p, k) + share * of(q, k) - of(b, k));
  const middleW = (p.valueW + q.valueW) / 2;
  const lagS = (q.atMs - p.atMs) / 1000;
  const apart = middleW === 0 ? 0 : (q.valueW - p.valueW) / middleW;
  const shown = together([sky, { share: Math.abs(apart) / Math.sqrt(lagS), freedom: 1 }]);
  const by = {
    scatterW: Math.hypot((1 - share) * p.errorW, share * q.errorW, b.errorW),
    // A random walk held at both ends.
    skyW: middleW * shown.share * Math.sqrt(lagS * share * (1 - share)),
    // Only what bends is left of it.
    sunW: middleW * (sunMotion(before.light, before.measure.atMs, after.measure.atMs)?.error ?? p.sunError) * 0.25,
    warmthW: warm.deviation,
  };
  const rawW = (1 - share) * before.measure.meanW + share * after.measure.meanW - second.measure.meanW;
  return {
    differenceW: warm.mean,
    giveOrTakeW: rangeOf(by, shown.freedom),
    sunExplainsW: rawW - ((1 - share) * p.valueW + share * q.valueW - b.valueW),
    by,
  };
}

/** By a reference that stood still: `referenceW` is what it gives now. */
export function besideReference(first: Held, second: Held, referenceW: number, nowMs: number): Difference | null {
  const [a, b] = [first.measure.ofReference, second.measure.ofReference];
  if (a === null || b === null) return null;
  const [p, q] = [bring(first, nowMs), bring(second, nowMs)];
  if (p === null || q === null) return null;
  const sky = together([a.wander, b.wander]);
  const warm = overWays(
    k =>
      referenceW *
      (a.mean * (1 - (first.measure.coolShares[k] ?? 0)) - b.mean * (1 - (second.measure.coolShares[k] ?? 0))),
  );
  const minutes = Math.abs(p.atMs - q.atMs) / 60_000;
  const by = {
    scatterW: referenceW * Math.hypot(a.error, b.error),
    skyW: ((referenceW * (a.mean + b.mean)) / 2) * Math.sqrt(walked(Math.max(sky.share, CLEAR_SHARE), p, q)),
    // Reference and panels may stand on unlike planes, which the sun moves over unlike.
    sunW: ((referenceW * (a.mean + b.mean)) / 2) * 0.0028 * minutes,
    warmthW: warm.deviation,
  };
  const rawW = first.measure.meanW - second.measure.meanW;
  return {
    differenceW: warm.mean,
    giveOrTakeW: rangeOf(by, sky.freedom),
    sunExplainsW: rawW - referenceW * (a.mean - b.mean),
    by,
  };
}
