/** Two stations as one reserve: both asked for the same target, and which load would be better off at the other. */
import { chancesOf } from '#energy/estimates/outlast/chances';
import { bestMove, bothReach } from '#energy/estimates/outlast/together';
import {
  type Asking,
  asking,
  type LoadOutlook,
  type OutlastNow,
  type OutlastQuestion,
  type OutlastStation,
} from './outlast.ts';

const MINUTE_MS = 60_000;
const MOST_TRIED = 4;

export interface Together {
  here: number;
  /** null where nothing can be said of the other one. */
  there: number | null;
  both: number | null;
  move: { load: LoadOutlook; both: number } | null;
}

/**
 * @param mine the first of them, made ready for this question
 * @param now what was found for it
 */
export async function outlastTogether(
  mine: Asking,
  other: OutlastStation,
  otherFloorPct: number,
  q: OutlastQuestion,
  now: OutlastNow,
  pause: () => Promise<void>,
): Promise<Together | null> {
  if (now.chances === null) return null;
  await pause();
  const targetMin = (q.untilAt - q.at) / MINUTE_MS;
  const theirs = asking(other, { ...q, floorPct: otherFloorPct });
  const { dots } = theirs;
  if (dots.length === 0) return { here: now.chances, there: null, both: null, move: null };
  const there = chancesOf(dots, targetMin);
  const tried = now.loads.filter(l => l.load.kind !== 'rest' && l.load.kind !== 'sometimes').slice(0, MOST_TRIED);
  const after = new Map<LoadOutlook, { here: number; there: number }>();
  for (const moved of tried) {
    await pause();
    after.set(moved, {
      here: chancesOf(mine.told(mine.without([moved.load])), targetMin),
      there: chancesOf(theirs.told(theirs.withMore(moved.load.meanW)), targetMin),
    });
  }
  const best = bestMove([...after.keys()], { here: now.chances, there }, load => after.get(load)!);
  return {
    here: now.chances,
    there,
    both: bothReach(now.chances, there),
    move: best === null ? null : { load: best.load, both: best.both },
  };
}
