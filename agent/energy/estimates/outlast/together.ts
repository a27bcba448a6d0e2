/**
 * Two stations as one reserve: whether both reach the target, and which load moved from one to the other helps most.
 * The two are taken as independent: a common sky makes both more likely, or less, together.
 */
import { CHANCES } from './chances.ts';

/** Chances in twenty that both get there. */
export const bothReach = (here: number, there: number): number => Math.round((here * there) / CHANCES);

export interface Move<L> {
  load: L;
  here: number;
  there: number;
  both: number;
}

/**
 * The best single move; null where none brings more than leaving things as they are.
 *
 * @param chances of both once this load is moved
 */
export function bestMove<L>(
  loads: readonly L[],
  now: { here: number; there: number },
  chances: (load: L) => { here: number; there: number },
): Move<L> | null {
  let best: Move<L> | null = null;
  for (const load of loads) {
    const { here, there } = chances(load);
    const both = bothReach(here, there);
    if (both > (best?.both ?? bothReach(now.here, now.there))) best = { load, here, there, both };
  }
  return best;
}
