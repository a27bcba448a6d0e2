/** Two stations as one reserve: both asked for the same target, and which load would be better off at the other. */
import { chancesOf, dotsOf } from '#energy/estimates/outlast/chances';
import { bestMove, bothReach } from '#energy/estimates/outlast/together';
import { asking, type LoadOutlook, type OutlastNow, type OutlastQuestion, type OutlastStation } from './outlast.ts';

const MINUTE_MS = 60_000;
const MOST_TRIED = 4;

export interface Together {
  here: number;
  /** null where nothing can be said of the other one. */
  there: number | null;
  both: number | null;
  move: { load: LoadOutlook; both: number } | null;
}

/** @param now what was found for the first of them */
export async function outlastTogether(
  here: OutlastStation,
  other: OutlastStation,
  otherFloorPct: number,
  q: OutlastQuestion,
  now: OutlastNow,
  pause: () => Promise<void>,
): Promise<Together | null> {
  if (now.chances === null) return null;
  await pause();
  const targetMin = (q.untilAt - q.at) / MINUTE_MS;
  const mine = asking(here, q);
  const theirs = asking(other, { ...q, floorPct: otherFloorPct });
  const dots = dotsOf(theirs.ask({}));
  if (dots.length === 0) return { here: now.chances, there: null, both: null, move: null };
  const there = chancesOf(dots, targetMin);
  const tried = now.loads.filter(l => l.load.kind !== 'rest' && l.load.kind !== 'sometimes').slice(0, MOST_TRIED);
  const after = new Map<LoadOutlook, { here: number; there: number }>();
  for (const moved of tried) {
    await pause();
    const same = mine.loads.find(load => load.kind === moved.load.kind && load.powerW === moved.load.powerW);
    if (same === undefined) continue;
    after.set(moved, {
      here: chancesOf(dotsOf(mine.without([same])), targetMin),
      there: chancesOf(dotsOf(theirs.withMore(moved.load.meanW)), targetMin),
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
