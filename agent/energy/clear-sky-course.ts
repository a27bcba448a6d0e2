/**
 * What panels would give through a stretch of time under a cloudless sky, W at equal steps: the course whose sum over a
 * day is the day's clear-sky energy. A model, known to some 10 % a day; neither a full battery nor a port cuts it.
 */

import type { Plane } from './laws/incidence.ts';
import type { StandingPanels } from './ledger/clear-day.ts';
import { onPlane, panelPowerW, UNKNOWN_AIR } from './panel-power.ts';
import { clearSkyOver, type SkyPlace } from './sky.ts';

/**
 * @param startMs UTC epoch ms; values are those of the middles of the steps
 * @param carriedTo how all panels stood at an instant where they had been carried; null: each on its own plane
 */
export function clearSkyCourse(
  startMs: number,
  endMs: number,
  stepMs: number,
  place: SkyPlace,
  panels: readonly StandingPanels[],
  carriedTo: (atMs: number) => Plane | null = () => null,
): number[] {
  const skyAt = clearSkyOver(place);
  return Array.from({ length: Math.ceil((endMs - startMs) / stepMs) }, (_, i) => {
    const at = startMs + (i + 0.5) * stepMs;
    const sky = skyAt(at);
    const carried = carriedTo(at);
    return panels.reduce(
      (sum, group) => sum + panelPowerW(onPlane(sky, carried ?? group.plane), UNKNOWN_AIR, group),
      0,
    );
  });
}
