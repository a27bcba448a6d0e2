/** What was learned of a station as the record keeps it: JSON with the number of its shape and when it was so. */
import type { RuntimeMemory } from '#energy/estimates/runtime/engine';
import { agedMemory } from '../../derive/aged.ts';

/** Raised when the shape changes: an older one is then learned anew. */
const VERSION = 3;

/**
 * @param memoryJson JSON of a RuntimeMemory
 * @param at instant of the newest reading it was learned from
 * @param units by what a change of units is told
 */
export const learnedAsKept = (memoryJson: string, at: number, units: unknown = {}): string =>
  `{"version":${VERSION},"at":${at},"memory":${memoryJson},"units":${JSON.stringify(units)}}`;

/** What was kept, with the units as they are now; null where nothing was. */
export const learnedWithUnits = (json: string | null, units: unknown): string | null =>
  json === null ? null : JSON.stringify({ ...JSON.parse(json), units });

/** As sure as it still is. null where nothing was kept, or in another shape. */
export function learnedFrom(json: string | null, nowMs: number): RuntimeMemory | null {
  if (json === null) return null;
  const kept = JSON.parse(json) as { version?: unknown; at?: number; memory: RuntimeMemory };
  return kept.version === VERSION ? agedMemory(kept.memory, nowMs - (kept.at ?? nowMs)) : null;
}

/** What `units` was when it was kept; undefined where nothing was. */
export const unitsFrom = (json: string | null): unknown =>
  json === null ? undefined : (JSON.parse(json) as { units?: unknown }).units;
