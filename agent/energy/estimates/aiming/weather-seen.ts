/**
 * What all remembered stretches say of the sky: whether it is steady now, whether it was between two measures, and how
 * far it wanders. The judgement rests on stretches without a move only, so that carrying panels about is no cloud.
 */
import type { Light, SkyIs, Wander } from './asked.ts';
import { skyOver } from './measuring.ts';
import type { Stretch } from './stretches.ts';
import { isUnsteady, together } from './wander.ts';

interface SkySeen {
  readonly fromMs: number;
  readonly toMs: number;
  readonly wander: Wander | null;
}

/** After the last sign of clouds this long must be still before anything is ranked. */
export const CLOUDS_STAY_MS = 60_000;
/** Before the first measure this long is looked at too: a gap between clouds is no clear sky. */
const BEFORE_MS = 180_000;
const KNOWN_FROM_MS = 15_000;
const RECENT_MS = 300_000;

export interface WeatherSeen {
  readonly now: SkyIs;
  /** Last sign of clouds; null: none remembered. */
  readonly unsteadyAtMs: number | null;
  /** Whether clouds were seen from shortly before an instant on. */
  unsteadySince(fromMs: number): boolean;
  /** How far the sky wanders, from shortly before an instant on, with what measures of forgotten stretches tell. */
  since(fromMs: number, kept: readonly Wander[]): Wander;
}

/** @param light of the panels as they stand now: good enough for the slope of a few minutes anywhere */
export function weatherSeen(
  stretches: readonly Stretch[],
  light: Light | null,
  stepW: number,
  nowMs: number,
): WeatherSeen {
  const seen: SkySeen[] = stretches
    .filter(stretch => stretch.seen.length > 0)
    .map(stretch => ({
      fromMs: stretch.seen[0]!.atMs,
      toMs: stretch.seen.at(-1)!.atMs,
      wander: skyOver(stretch, light, stepW),
    }));
  const unsteady = seen.filter(s => isUnsteady(s.wander));
  const unsteadyAtMs = unsteady.length === 0 ? null : Math.max(...unsteady.map(s => s.toMs));
  const knownMs = seen
    .filter(s => s.toMs > nowMs - RECENT_MS && s.wander !== null)
    .reduce((sum, s) => sum + s.toMs - s.fromMs, 0);
  const now =
    unsteadyAtMs !== null && unsteadyAtMs > nowMs - CLOUDS_STAY_MS
      ? 'unsteady'
      : knownMs < KNOWN_FROM_MS
        ? 'unknown'
        : 'steady';
  return {
    now,
    unsteadyAtMs,
    unsteadySince: fromMs => unsteadyAtMs !== null && unsteadyAtMs > fromMs - BEFORE_MS,
    since: (fromMs, kept) => together([...seen.filter(s => s.toMs > fromMs - BEFORE_MS).map(s => s.wander), ...kept]),
  };
}
