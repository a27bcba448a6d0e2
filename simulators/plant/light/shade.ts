/**
 * What stands between sun and panels: a far skyline by azimuth, and near things whose shadow has an edge that moves
 * over the row of panels part by part. Angles in degrees, azimuth clockwise from true north; metres from the middle of
 * the row, heights above the panels. Beam only; what is hidden of the sky's dome is a share worked out once.
 */
import { noise, STREAM } from '../chance.ts';
import type { SunDirection } from '../sun.ts';

/** A corner of the horizon line; the line runs straight from corner to corner, around through north. */
export interface SkylinePoint {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
}

/** A chimney or wall (`board`: upright, straight edges) or a tree (`crown`: half an ellipse). */
export interface NearThing {
  readonly name: string;
  readonly shape: 'board' | 'crown';
  readonly azimuthDeg: number;
  readonly distanceM: number;
  readonly widthM: number;
  readonly heightM: number;
  /** Share of the beam that comes through it: leaves, 0..1. */
  readonly throughShare: number;
}

export interface ShadeFacts {
  readonly skyline: readonly SkylinePoint[];
  readonly near: readonly NearThing[];
}

/** Where a cell is, metres east and north of the middle of the row. */
export interface Spot {
  readonly eastM: number;
  readonly northM: number;
}

export interface Shade {
  /** Share of the sky's dome that is left over a level plane, 0..1. */
  readonly domeShare: number;
  /** Share of the beam that comes over the skyline, 0..1. */
  overSkyline(sun: SunDirection): number;
  /** Whether anything near could throw its shadow on the row. */
  mayBeNear(sun: SunDirection): boolean;
  /** Share of the beam that passes the near things at a spot, 0..1. */
  atSpot(sun: SunDirection, spot: Spot, ms: number): number;
}

const RAD = Math.PI / 180;
const DEG = 180 / Math.PI;
/** The sun's disc is half a degree wide, so every edge is. */
const SUN_WIDTH_RAD = 0.0093;
/** Row and penumbra widen a near thing's reach. */
const ROW_REACH_M = 3;

/** Height of the horizon line at whole degrees of azimuth. */
export function skylineTable(points: readonly SkylinePoint[]): Float64Array {
  const table = new Float64Array(360);
  if (points.length === 0) return table;
  const sorted = [...points].sort((a, b) => a.azimuthDeg - b.azimuthDeg);
  for (let azimuth = 0; azimuth < 360; azimuth++) {
    const after = sorted.findIndex(p => p.azimuthDeg > azimuth);
    const right = sorted[after === -1 ? 0 : after]!;
    const left = sorted[after <= 0 ? sorted.length - 1 : after - 1]!;
    const width = (right.azimuthDeg - left.azimuthDeg + 360) % 360 || 360;
    const from = (azimuth - left.azimuthDeg + 360) % 360;
    table[azimuth] = left.elevationDeg + ((right.elevationDeg - left.elevationDeg) * from) / width;
  }
  return table;
}

const clamp = (x: number): number => Math.min(1, Math.max(0, x));

/** A near thing in the plane through it that faces the row. */
function standing(thing: NearThing, seed: number) {
  const east = Math.sin(thing.azimuthDeg * RAD);
  const north = Math.cos(thing.azimuthDeg * RAD);
  const half = thing.widthM / 2;
  const reach = Math.cos(Math.min(Math.PI / 2, Math.atan2(half + ROW_REACH_M, thing.distanceM)));
  /** How far, in metres, a point of that plane lies outside its outline; negative inside. */
  const outside = (aside: number, up: number): number => {
    if (thing.shape === 'board') return Math.max(Math.abs(aside) - half, up - thing.heightM);
    const round = Math.hypot(aside / half, Math.max(0, up) / thing.heightM);
    return (round - 1) * Math.min(half, thing.heightM);
  };
  return {
    mayReach(sun: SunDirection): boolean {
      const level = Math.hypot(sun.east, sun.north);
      if (sun.east * east + sun.north * north < reach * level) return false;
      // A spot in front of the row is nearer to it and sees it higher.
      return sun.up * Math.max(0.5, thing.distanceM - ROW_REACH_M) < level * (thing.heightM + 0.2);
    },
    through(sun: SunDirection, spot: Spot, ms: number): number {
      const towards = sun.east * east + sun.north * north;
      if (towards <= 0) return 1;
      const way = (thing.distanceM - spot.eastM * east - spot.northM * north) / towards;
      if (way <= 0) return 1;
      const aside = spot.eastM * north - spot.northM * east + way * (sun.east * north - sun.north * east);
      const open = clamp(outside(aside, way * sun.up) / (way * SUN_WIDTH_RAD) + 0.5);
      if (open === 1) return 1;
      const leaves = thing.throughShare * (0.4 + 1.2 * noise(seed, STREAM.leaves, ms / 20_000));
      return leaves + (1 - leaves) * open;
    },
  };
}

/** Share of a level plane's dome that a thing hides: its width in azimuth times sin² of its height. */
const hidden = (thing: NearThing): number =>
  (Math.atan2(thing.widthM / 2, thing.distanceM) / Math.PI) *
  Math.sin(Math.atan2(thing.heightM, thing.distanceM)) ** 2 *
  (1 - thing.throughShare);

/** Everything that shades one row of panels. */
export function createShade(facts: ShadeFacts, seed: number): Shade {
  const line = skylineTable(facts.skyline);
  const highestDeg = line.reduce((a, b) => Math.max(a, b), 0);
  const highest = Math.sin((highestDeg + 0.3) * RAD);
  const things = facts.near.map(thing => standing(thing, seed));
  const lineHides = line.reduce((sum, deg) => sum + Math.sin(Math.max(0, deg) * RAD) ** 2, 0) / 360;
  return {
    domeShare: Math.max(0, 1 - lineHides - facts.near.reduce((sum, thing) => sum + hidden(thing), 0)),
    overSkyline(sun) {
      if (highestDeg <= 0 || sun.up > highest) return 1;
      const azimuth = (Math.atan2(sun.east, sun.north) * DEG + 360) % 360;
      const i = Math.floor(azimuth);
      const lineDeg = line[i]! + (line[(i + 1) % 360]! - line[i]!) * (azimuth - i);
      return clamp((Math.asin(sun.up) * DEG - lineDeg) / 0.53 + 0.5);
    },
    mayBeNear: sun => things.some(thing => thing.mayReach(sun)),
    atSpot: (sun, spot, ms) => things.reduce((share, thing) => share * thing.through(sun, spot, ms), 1),
  };
}
