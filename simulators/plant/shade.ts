/**
 * A tree west of the shed: takes the low afternoon sun, leaves a little dappled light through, and hides a strip of the
 * sky dome. Angles in degrees, azimuth clockwise from true north. Invented.
 */
import { noise, STREAM } from './chance.ts';
import type { SunDirection } from './sun.ts';

export interface Tree {
  readonly azimuthDeg: number;
  /** Half of the crown's width as seen from the panel. */
  readonly halfWidthDeg: number;
  readonly topDeg: number;
  /** Share of the sky dome it hides. */
  readonly domeShare: number;
}

const DEG = 180 / Math.PI;

/** Share of the beam that reaches the panel, 0..1. */
export function throughTree(tree: Tree, sun: SunDirection, seed: number, ms: number): number {
  if (sun.up <= 0) return 0;
  const azimuth = Math.atan2(sun.east, sun.north) * DEG;
  const aside = Math.abs(((azimuth - tree.azimuthDeg + 540) % 360) - 180) / tree.halfWidthDeg;
  if (aside >= 1) return 1;
  const elevation = Math.asin(Math.min(1, sun.up)) * DEG;
  const crown = tree.topDeg * Math.sqrt(1 - aside * aside);
  const leaves = 0.08 + 0.12 * noise(seed, STREAM.leaves, ms / 20_000);
  // The edge of the crown is soft over about three degrees.
  const above = Math.min(1, Math.max(0, (elevation - crown) / 3 + 0.5));
  return leaves + (1 - leaves) * above;
}
