/**
 * What all remembered stretches say of the sky: whether it is steady now, whether it was between two measures, and how
 * far it wanders. The judgement rests on stretches without a move only, so that carrying panels about is no cloud.
 */
import type { Light, SkyIs, Wander } from './asked.ts';
import { skyOver } from './measuring.ts';
import type { Stretch } from './plateaus.ts';
import { isUnsteady, together } from './wander.ts';

interface SkySeen {
  readonly fromMs: number;
  readonly toMs: number;
  readonly wander: Wander | null;
  readonly unsteady: boolean;
}

/** After the last sign of clouds this long must be still before anything is ranked. */
export const CLOUDS_STAY_MS = 60_000;
/** Before the first measure this long is looked at too: a gap between clouds is no clear sky. */
const BEFORE_MS = 120_000;
const KNOWN_FROM_MS = 15_000;
const RECENT_MS = 300_000;

export interface WeatherSeen {
  readonly now: SkyIs;
  /** Last sign of clouds; null: none remembered. */
  readonly unsteadyAtMs: number | null;
  /** Whether clouds were seen from shortly before an instant on. */
  unsteadySince(fromMs: number): boolean;
  /** Time without a move in the last minutes, ms: what the judgement of the sky rests on. */
  readonly stillMs: number;
  /** How far the sky wanders, from shortly before an instant on, with what measures of forgotten stretches tell. */
  since(fromMs: number, kept: readonly Wander[]): Wander;
}

/** A slope between two plateaus is taken for hands after the sky was seen steady for this long. */
const PROVEN_MS = 240_000;
const COME_AND_GO_MS = 120_000;
const PROVEN_WITHIN_MS = 600_000;

/** Remembers what it once saw of clouds, though the stretch that showed them goes on and settles. */
export function createWeatherEye() {
  let unsteadyAtMs: number | null = null;
  /** Of stretches as they were when last looked at: what is over is not gone through again. */
  const known = new WeakMap<Stretch, SkySeen>();

  const seenOf = (stretch: Stretch, light: Light | null, stepW: number): SkySeen => {
    const [fromMs, toMs] = [stretch.seen[0]!.atMs, stretch.seen.at(-1)!.atMs];
    const before = known.get(stretch);
    if (before?.fromMs === fromMs && before.toMs === toMs) return before;
    const wander = skyOver(stretch, light, stepW);
    const now = { fromMs, toMs, wander, unsteady: isUnsteady(wander) };
    known.set(stretch, now);
    return now;
  };

  const sawClouds = (atMs: number): void => {
    unsteadyAtMs = Math.max(unsteadyAtMs ?? atMs, atMs);
  };
  /** Still time with a steady sky in the minutes before a stretch; none where clouds were seen since, or another slope. */
  const provenBefore = (seen: readonly SkySeen[], slopes: readonly number[], k: number): number => {
    const from = seen[k]!.fromMs - PROVEN_WITHIN_MS;
    const doubt = Math.max(unsteadyAtMs ?? from, ...slopes.filter(at => at < seen[k]!.fromMs), from);
    return seen.slice(0, k).reduce((sum, s) => sum + Math.max(0, s.toMs - Math.max(s.fromMs, doubt)), 0);
  };

  /** @param light of the panels as they stand now: good enough for the slope of a few minutes anywhere */
  return (stretches: readonly Stretch[], light: Light | null, stepW: number, nowMs: number): WeatherSeen => {
    const kept = stretches.filter(stretch => stretch.seen.length > 0);
    const seen = kept.map(stretch => seenOf(stretch, light, stepW));
    const slopes = seen.filter((_, k) => kept[k]!.came === 'byCloud').map(s => s.fromMs);
    const steps = seen.filter((_, k) => kept[k]!.came !== 'byHands').map(s => s.fromMs);
    for (const [k, s] of seen.entries()) {
      if (s.unsteady) sawClouds(s.toMs);
      const { came, gleamAtMs } = kept[k]!;
      if (came === 'byCloud' && provenBefore(seen, slopes, k) < PROVEN_MS) sawClouds(s.fromMs);
      // One step without a dip may be hands; two soon after each other are clouds that come and go.
      if (came !== 'byHands' && steps.some(at => at < s.fromMs && at > s.fromMs - COME_AND_GO_MS)) sawClouds(s.fromMs);
      if (gleamAtMs !== null) sawClouds(gleamAtMs);
    }
    const stillMs = seen
      .filter(s => s.toMs > nowMs - RECENT_MS)
      .reduce((sum, s) => sum + s.toMs - Math.max(s.fromMs, nowMs - RECENT_MS), 0);
    const clouds = unsteadyAtMs;
    return {
      now:
        clouds !== null && clouds > nowMs - CLOUDS_STAY_MS
          ? 'unsteady'
          : stillMs < KNOWN_FROM_MS
            ? 'unknown'
            : 'steady',
      unsteadyAtMs: clouds,
      stillMs,
      unsteadySince: fromMs => clouds !== null && clouds > fromMs - BEFORE_MS,
      since: (fromMs, more) => together([...seen.filter(s => s.toMs > fromMs - BEFORE_MS).map(s => s.wander), ...more]),
    };
  };
}
