/**
 * How much of the light something that stands around a spot lets through, minute by minute: learned from the clear days
 * spent there. That there is shade at all is what Aim's judgement of patches of sky says (`estimates/skyline`): seen on
 * three days, beside clear hours. How deep it is, and how far its soft edge reaches, is what came on those days against
 * the station's own level; the second best of them is taken, since a cloud lowers one day and not the others. What too few
 * days saw lets everything through: what was lost there goes to the clouds.
 */
import { tell } from '../estimates/skyline/clock-strip.ts';
import { emptyDay, note } from '../estimates/skyline/day-record.ts';
import { judgeDay } from '../estimates/skyline/judge-day.ts';
import { createPatches, middleOfPatch, PATCH_DEG, patchAt } from '../estimates/skyline/patches.ts';
import { dayLight, daySun, solarDayOf, solarMinuteOf } from '../estimates/skyline/solar-day.ts';
import { steadyMinutes } from '../estimates/skyline/steady.ts';
import type { Plane } from '../laws/incidence.ts';
import type { SkyPlace } from '../sky.ts';
import { type ClearDay, MINUTE_MS, NODE_MIN } from './clear-day.ts';
import { FREE } from './day-minutes.ts';

/** What is told holds for this many days: the sun moves by less than a patch or two meanwhile. */
const TOLD_DAYS = 10;
/** Days after one that still speak for it. */
export const LEARNED_AHEAD_DAYS = 30;
/** A lower sun is never evidence, and nothing is told of it. */
const LOWEST_SUN_DEG = 5;
/** A share above it is the level's own scatter, not an edge. */
const EDGE_BELOW = 0.94;
const DAYS_AT_LEAST = 3;
/** Days a patch remembers. */
const DAYS_HELD = 12;

/** A clear day that was spent at the spot. */
export interface ShadeDay {
  readonly startMs: number;
  /** By the minute; NaN where nothing was recorded, or the panels stood elsewhere. */
  readonly sunW: Float64Array;
  readonly held: Uint8Array;
  readonly clear: ClearDay;
  /** Own level of that day. */
  readonly level: number;
  readonly plane: Plane;
}

export interface ShadeLearning {
  /** Days in order of time. */
  learn(day: ShadeDay): void;
  /** Share of the light let through in each minute; null where nothing is in the way. Days are asked for in order. */
  throughOn(startMs: number, clear: ClearDay): Float64Array | null;
}

interface Told {
  readonly isShade: boolean;
  readonly through: number;
}

export function createShadeLearning(place: SkyPlace): ShadeLearning {
  const patches = createPatches();
  const shares = createShares();
  /** What was told of each patch for the days of `block`. */
  let told = new Map<number, Told>();
  let block = Number.NaN;
  let lastDay = Number.NaN;

  const tellOf = (patch: number): Told => {
    let of = told.get(patch);
    if (of === undefined) {
      const { azimuthDeg, elevationDeg } = middleOfPatch(patch);
      const through = shares.around(azimuthDeg, elevationDeg);
      // Evidence is dear to gather: where everything came through nobody asks for it.
      const isShade = through < EDGE_BELOW && tell(patches.at(azimuthDeg, elevationDeg, lastDay)) === 'shade';
      of = { isShade, through };
      told.set(patch, of);
    }
    return of;
  };

  return {
    learn(lesson) {
      const { startMs, sunW, held, clear, level, plane } = lesson;
      const day = solarDayOf(startMs + (sunW.length / 2) * MINUTE_MS, place.longitudeDeg);
      const record = emptyDay(day);
      for (let m = 0; m < sunW.length; m++) {
        const atMs = startMs + (m + 0.5) * MINUTE_MS;
        if (clear.powerW[m]! <= 0 || Number.isNaN(sunW[m]!) || solarDayOf(atMs, place.longitudeDeg) !== day) continue;
        note(record, solarMinuteOf(atMs, place.longitudeDeg), sunW[m]!, held[m] !== FREE);
      }
      if (record.last <= record.first) return;
      const sun = daySun(place, day, { from: record.first, to: record.last });
      const light = dayLight(sun, plane);
      const gainW = (level * sumOf(clear.powerW)) / sumOf(light.perW);
      const steady = steadyMinutes(record.powerW, light.perW, record);
      patches.put(day, judgeDay(record, sun, light, steady, { plane, gainW, days: 1 }).votes);
      shares.add(lesson);
      lastDay = day;
    },
    throughOn(startMs, clear) {
      const today = solarDayOf(startMs, place.longitudeDeg);
      if (Math.floor(today / TOLD_DAYS) !== block) [block, told] = [Math.floor(today / TOLD_DAYS), new Map()];
      const nodes: (Told | null)[] = Array.from(clear.sunElevationDeg, (elevationDeg, i) =>
        elevationDeg < LOWEST_SUN_DEG ? null : tellOf(patchAt(clear.sunAzimuthDeg[i]!, elevationDeg)),
      );
      const through = throughNodes(nodes);
      return through === null ? null : byMinute(through, clear.powerW.length);
    },
  };
}

/** Shares of the nodes that lie in one stretch of edge with one that is shade; all others let everything through. */
function throughNodes(nodes: readonly (Told | null)[]): Float64Array | null {
  const through = new Float64Array(nodes.length).fill(1);
  let any = false;
  for (let from = 0; from < nodes.length; from++) {
    const isEdge = (i: number) => {
      const node = nodes[i] ?? null;
      return node !== null && node.through < EDGE_BELOW;
    };
    if (!isEdge(from)) continue;
    let to = from;
    while (isEdge(to)) to++;
    if (nodes.slice(from, to).some(node => node!.isShade)) {
      any = true;
      for (let i = from; i < to; i++) through[i] = nodes[i]!.through;
    }
    from = to;
  }
  return any ? through : null;
}

/** The middle of each minute, straight from node to node. */
function byMinute(nodes: Float64Array, count: number): Float64Array {
  const values = new Float64Array(count);
  for (let m = 0; m < count; m++) {
    const i = Math.floor(m / NODE_MIN);
    const share = (m - i * NODE_MIN + 0.5) / NODE_MIN;
    values[m] = nodes[i]! + share * (nodes[i + 1]! - nodes[i]!);
  }
  return values;
}

/** What came of the own level's watts, patch by patch and day by day. */
function createShares() {
  const byPatch = new Map<number, { day: number; share: number }[]>();
  return {
    add({ startMs, sunW, held, clear, level }: ShadeDay): void {
      const day = Math.round(startMs / 86_400_000);
      const sums = new Map<number, { came: number; clear: number }>();
      for (let m = 0; m < sunW.length; m++) {
        const i = Math.min(clear.sunElevationDeg.length - 1, Math.round((m + 0.5) / NODE_MIN));
        const elevationDeg = clear.sunElevationDeg[i]!;
        if (elevationDeg < LOWEST_SUN_DEG || Number.isNaN(sunW[m]!) || held[m] !== FREE) continue;
        const patch = patchAt(clear.sunAzimuthDeg[i]!, elevationDeg);
        const sum = sums.get(patch) ?? { came: 0, clear: 0 };
        sum.came += sunW[m]!;
        sum.clear += clear.powerW[m]! * level;
        sums.set(patch, sum);
      }
      for (const [patch, sum] of sums) {
        if (sum.clear <= 0) continue;
        const days = byPatch.get(patch) ?? [];
        days.push({ day, share: sum.came / sum.clear });
        if (days.length > DAYS_HELD) days.shift();
        byPatch.set(patch, days);
      }
    },
    /** The second best day's share at a place of the sky and the patches beside it; 1 where too few saw it. */
    around(azimuthDeg: number, elevationDeg: number): number {
      const best = new Map<number, number>();
      for (const up of [-PATCH_DEG, 0, PATCH_DEG]) {
        const at = elevationDeg + up;
        if (at < 0 || at >= 90) continue;
        const wide = PATCH_DEG / Math.max(0.05, Math.cos((at * Math.PI) / 180));
        for (const aside of [-wide, 0, wide])
          for (const { day, share } of byPatch.get(patchAt((azimuthDeg + aside + 360) % 360, at)) ?? [])
            if (up === 0 && aside === 0) best.set(day, share);
            else if (!best.has(day)) best.set(day, share);
      }
      if (best.size < DAYS_AT_LEAST) return 1;
      const shares = [...best.values()].sort((a, b) => b - a);
      return Math.min(1, Math.max(0, shares[1]!));
    },
  };
}

const sumOf = (values: Float64Array): number => values.reduce((a, b) => a + b, 0);
