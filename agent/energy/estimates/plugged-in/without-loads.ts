/** The recorded past as it would have been with some loads left off, or run for part of their time. */
import type { Past } from '../runtime/minutes.ts';
import type { PluggedIn } from './plugged-in.ts';

/** @param share of each load's draw that is taken off: 1 leaves it off, 0.5 runs it half the time */
export function pastWithout(past: Past, loads: readonly PluggedIn[], share = 1): Past {
  const outputW = past.outputW.slice(0, past.count);
  for (const { drawnW, drawnFrom } of loads)
    for (let i = 0; i < drawnW.length && drawnFrom + i < outputW.length; i++)
      outputW[drawnFrom + i] = Math.max(0, outputW[drawnFrom + i]! - share * drawnW[i]!);
  return { ...past, outputW };
}

/** The past as it would have been with a further steady load. */
export const pastWith = (past: Past, powerW: number): Past => ({
  ...past,
  outputW: past.outputW.slice(0, past.count).map(w => w + powerW),
});
