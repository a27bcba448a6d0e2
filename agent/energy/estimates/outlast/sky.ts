/** What the sun of a stretch of time would bring under a sky set by hand, or as it is likely to be. */
import { createChance } from '../chance.ts';
import type { RuntimeFacts } from '../runtime/engine.ts';
import type { Past } from '../runtime/minutes.ts';
import { createSunPaths } from '../runtime/sun-paths.ts';

export type Sky = 'good' | 'middling' | 'poor';
export const SKIES: readonly Sky[] = ['good', 'middling', 'poor'];

/** Shares of a clear sky (own judgement). */
export const SHARES: Readonly<Record<Sky, readonly [low: number, high: number]>> = {
  good: [0.8, 1],
  middling: [0.4, 0.7],
  poor: [0.1, 0.3],
};

const MINUTE_MS = 60_000;
const STEP_MIN = 10;
const DRAWS = 32;

/**
 * Energy from the panels, Wh, the middle of what is likely; null where no sun can be reckoned with (no place, or
 * neither panels nor a record of them).
 *
 * @param fromMs instants
 * @param sky null where it is left open
 */
export function sunWh(past: Past, facts: RuntimeFacts, fromMs: number, toMs: number, sky: Sky | null): number | null {
  const { clearWm2 } = facts;
  if (clearWm2 === null) return null;
  const steps = Math.max(1, Math.round((toMs - fromMs) / MINUTE_MS / STEP_MIN));
  const draw = createSunPaths(past, {
    nowMinute: Math.floor(fromMs / MINUTE_MS),
    stepMin: STEP_MIN,
    steps,
    clearWm2: minute => clearWm2(minute * MINUTE_MS),
    panelsRatedW: facts.panelsRatedW,
    limitW: facts.solarMaxW,
    clearness: sky === null ? undefined : () => SHARES[sky],
  });
  // No light at all in that stretch, or no panels known: the second cannot be told.
  if (draw === null) return facts.panelsRatedW === null ? null : 0;
  const chance = createChance(1);
  const watts = new Float64Array(steps);
  const energies = Array.from({ length: DRAWS }, () => {
    draw(chance, watts);
    return (watts.reduce((sum, w) => sum + w, 0) * STEP_MIN) / 60;
  });
  return energies.sort((a, b) => a - b)[DRAWS >> 1]!;
}
