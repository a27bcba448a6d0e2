/**
 * The edge of what stands around a spot, direction by direction: where the sky turns from shade below to sun above, as
 * far as both were seen there. A wall's upright side is crossed at one height only; any height on it is its edge.
 */
import { tell } from './clock-strip.ts';
import type { Patches } from './patches.ts';
import type { PatchTold, SkylinePart } from './types.ts';

/** Directions are this wide. */
export const PART_DEG = 5;
/** The edge is looked for this far to each side, so that an upright one between two directions is found. */
const ASIDE_DEG = 3.75;
/** Between the lowest sun above the edge and the highest shade below it there may be this much unseen sky. */
const UNSEEN_DEG = 6;

/** Every patch with evidence. @param today number of the solar day: evidence ages */
export function patchesTold(patches: Patches, today: number): PatchTold[] {
  const seen: PatchTold[] = [];
  for (const patch of patches.each())
    seen.push({ ...patch, is: tell(patches.at(patch.azimuthDeg, patch.elevationDeg, today)) });
  return seen;
}

/** @param seen of `patchesTold` */
export function skylineParts(seen: readonly PatchTold[]): SkylinePart[] {
  const parts: SkylinePart[] = [];
  for (let azimuthDeg = PART_DEG / 2; azimuthDeg < 360; azimuthDeg += PART_DEG) {
    const away = (patch: PatchTold) => Math.abs(((patch.azimuthDeg - azimuthDeg + 540) % 360) - 180);
    const within = seen.filter(patch => away(patch) <= PART_DEG / 2);
    const minutes = within.reduce((sum, patch) => sum + patch.minutes, 0);
    if (minutes === 0) continue;
    const heights = (is: PatchTold['is']) => within.filter(patch => patch.is === is).map(patch => patch.elevationDeg);
    const [sunny, shaded] = [heights('sun'), heights('shade')];
    parts.push({
      azimuthDeg,
      edgeDeg: edgeAmong(seen.filter(patch => patch.is !== 'unknown' && away(patch) <= ASIDE_DEG)),
      sunFromDeg: sunny.length === 0 ? null : Math.min(...sunny),
      shadeToDeg: shaded.length === 0 ? null : Math.max(...shaded),
      minutes,
    });
  }
  return parts;
}

/** The height that parts shade below from sun above with the fewest on the wrong side; null where one kind is missing. */
function edgeAmong(seen: readonly PatchTold[]): number | null {
  const heights = [...new Set(seen.map(patch => patch.elevationDeg))].sort((a, b) => a - b);
  let best: { edgeDeg: number; wrong: number } | null = null;
  for (let i = 0; i <= heights.length; i++) {
    const below = heights[i - 1] ?? heights[0]! - 1;
    const above = heights[i] ?? heights.at(-1)! + 1;
    const edgeDeg = (below + above) / 2;
    const wrong = seen.filter(({ elevationDeg, is }) => elevationDeg > edgeDeg !== (is === 'sun')).length;
    if (best === null || wrong < best.wrong) best = { edgeDeg, wrong };
  }
  if (best === null) return null;
  const { edgeDeg } = best;
  const lowestSun = Math.min(
    ...seen.filter(p => p.is === 'sun' && p.elevationDeg > edgeDeg - 2).map(p => p.elevationDeg),
  );
  const highestShade = Math.max(
    ...seen.filter(p => p.is === 'shade' && p.elevationDeg < edgeDeg + 2).map(p => p.elevationDeg),
  );
  return lowestSun - highestShade <= UNSEEN_DEG ? edgeDeg : null;
}
