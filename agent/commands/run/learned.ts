/** What was learned of a station as the record keeps it: JSON with the number of its shape. */
import type { RuntimeMemory } from '#energy/estimates/runtime/engine';

/** Raised when the shape changes: an older one is then learned anew. */
const VERSION = 2;

export const learnedAsKept = (memory: RuntimeMemory): string => JSON.stringify({ version: VERSION, memory });

/** null where nothing was kept, or in another shape. */
export function learnedFrom(json: string | null): RuntimeMemory | null {
  if (json === null) return null;
  const kept = JSON.parse(json) as { version?: unknown; memory: RuntimeMemory };
  return kept.version === VERSION ? kept.memory : null;
}
