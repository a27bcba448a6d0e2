/**
 * Where the panels stand now and where marks were made, as the judge is told it: a key for each place and the clear sky
 * on the panels as they stood there. Instants UTC epoch ms.
 */
import type { Light, MarkedSpot, Measure, Standing } from '#energy/estimates/aiming/asked';
import type { Plane } from '#energy/laws/incidence';
import type { Fact, Mark } from '#messages';
import { standingLight } from '../../../derive/aiming.ts';
import type { StationFacts } from '../../../derive/facts.ts';
import { spotPlaneAt, wholePlane } from '../../../derive/standing.ts';
import { spotStoodAt } from './changes.ts';
import { type KeptAim, measureOf } from './kept.ts';

/** Rating and number of the panels, whichever way they stand. */
function pluggedIn(facts: readonly Fact[], atMs: number): string {
  const said = facts.filter(fact => fact.key === 'panel').sort((a, b) => a.validFromMs - b.validFromMs);
  const json = (said.findLast(fact => fact.validFromMs <= atMs) ?? said[0])?.valueJson ?? '[]';
  const panels = JSON.parse(json) as { ratedW: number; count?: number }[];
  return JSON.stringify(panels.map(({ ratedW, count }) => [ratedW, count ?? 1]));
}

export interface Where {
  /** How panels stand at a spot; null: as the settings say. */
  planeAt(spot: string | null, atMs: number): Plane | null;
  /** This walk's marks, as the judge is given them. */
  marked(nowMs: number): MarkedSpot[];
  /** @param movedAtMs when the panels were last seen to be moved; null: not while anybody could have moved them */
  here(measure: Measure | null, movedAtMs: number | null, nowMs: number): Standing;
}

export function createWhere(kept: KeptAim, facts: () => Pick<StationFacts, 'place' | 'panels'>): Where {
  let known: { of: readonly Mark[]; version: number; marked: MarkedSpot[] } | null = null;

  const planeAt = (spot: string | null, atMs: number): Plane | null =>
    spot === null ? null : wholePlane(spotPlaneAt(kept.facts(), spot, atMs));
  const lightOf = (spot: string | null, atMs: number): Light | null => {
    const { place, panels } = facts();
    return standingLight(place, panels, planeAt(spot, atMs));
  };
  const keyOf = (spot: string, atMs: number): string => `${spot} ${JSON.stringify(planeAt(spot, atMs))}`;
  const keyOfMark = (mark: Mark): string =>
    mark.spot === null ? `mark ${mark.againOf ?? mark.id}` : keyOf(mark.spot, mark.at);

  return {
    planeAt,
    marked(nowMs) {
      const of = kept.walkMarks(nowMs);
      const version = kept.version();
      if (known?.of === of && known.version === version) return known.marked;
      const plugged = pluggedIn(kept.facts(), nowMs);
      const marked = of.flatMap(mark => {
        const measure = measureOf(mark);
        if (measure === null) return [];
        const { id, letter, at } = mark;
        const otherPanels = pluggedIn(kept.facts(), at) !== plugged;
        return { id, letter, spot: keyOfMark(mark), measure, light: lightOf(mark.spot, at), otherPanels };
      });
      known = { of, version, marked };
      return marked;
    },
    here(measure, movedAtMs, nowMs) {
      const spot = spotStoodAt(kept, movedAtMs, nowMs);
      const light = lightOf(spot, nowMs);
      if (spot !== null) return { spot: keyOf(spot, nowMs), light };
      // A mark of the stretch that still lasts was made where they stand.
      const mark = measure === null ? undefined : kept.walkMarks(nowMs).findLast(m => m.at >= measure.movedAtMs);
      return { spot: mark === undefined ? null : keyOfMark(mark), light };
    },
  };
}
