/**
 * One solar day at a place: it turns at the sun's midnight, in the dark wherever there is a night, so that no zone is
 * needed and no clear morning is cut in two. Minutes are counted from its beginning; the sky is worked out every fourth
 * of them and taken as straight between, which costs less than 0.1 % of the light above 5°.
 */
import { rossTempC } from '../../laws/cell-temperature.ts';
import type { Plane } from '../../laws/incidence.ts';
import { physicalModifier } from '../../laws/incidence-modifier.ts';
import { dcPowerW, UNKNOWN_POWER_PER_K } from '../../laws/pvwatts.ts';
import { onPlane, UNKNOWN_AIR } from '../../panel-power.ts';
import { type ClearSky, clearSkyOver, type SkyPlace } from '../../sky.ts';

export const DAY_MINUTES = 1440;
export const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
/** Minutes from one worked-out sky to the next. */
export const NODE_MIN = 4;
const NODES = DAY_MINUTES / NODE_MIN + 1;
const RAD = Math.PI / 180;

/** Number of the solar day an instant belongs to. @param longitudeDeg east positive */
export const solarDayOf = (atMs: number, longitudeDeg: number): number =>
  Math.floor(atMs / DAY_MS + longitudeDeg / 360);

/** Its first instant. */
export const solarDayStartMs = (day: number, longitudeDeg: number): number => (day - longitudeDeg / 360) * DAY_MS;

/** The minute of its solar day that an instant lies in, 0 to 1439. */
export const solarMinuteOf = (atMs: number, longitudeDeg: number): number => {
  const days = atMs / DAY_MS + longitudeDeg / 360;
  return Math.min(DAY_MINUTES - 1, Math.floor((days - Math.floor(days)) * DAY_MINUTES + 1e-6));
};

/** Where the sun stands in each minute of a day, and the clear sky at every fourth. */
export interface DaySun {
  /** null while the sun is down. */
  readonly nodes: readonly (ClearSky | null)[];
  /** At the middle of each minute; elevation as seen, negative while it is down. */
  readonly azimuthDeg: Float64Array;
  readonly elevationDeg: Float64Array;
}

/** What a clear sky would give on a plane in each minute. */
export interface DayLight {
  /** Watts for each watt of label; 0 in the dark. */
  readonly perW: Float64Array;
  /** Share of it that comes from where the sun is, 0 to 1: what shade takes away. */
  readonly beamShare: Float64Array;
  /** It held against what the sun and sky give on level ground; small where panels look away from the sun. */
  readonly towards: Float64Array;
  /** Cosine of the angle at which the sun meets the panels; 0 or less from behind. */
  readonly facing: Float64Array;
}

const skies = new WeakMap<SkyPlace, (atMs: number) => ClearSky>();

function skyOver(place: SkyPlace): (atMs: number) => ClearSky {
  let sky = skies.get(place);
  if (sky === undefined) {
    sky = clearSkyOver(place);
    skies.set(place, sky);
  }
  return sky;
}

/** @param minutes the day's minutes that are asked for; others stay dark */
export function daySun(place: SkyPlace, day: number, minutes: { from: number; to: number }): DaySun {
  const sky = skyOver(place);
  const startMs = solarDayStartMs(day, place.longitudeDeg);
  const azimuthDeg = new Float64Array(DAY_MINUTES);
  const elevationDeg = new Float64Array(DAY_MINUTES).fill(-90);
  const nodes: (ClearSky | null)[] = new Array(NODES).fill(null);
  const first = Math.floor(minutes.from / NODE_MIN);
  const last = Math.min(NODES - 1, Math.ceil((minutes.to + 1) / NODE_MIN));
  for (let i = first; i <= last; i++) {
    const now = sky(startMs + i * NODE_MIN * MINUTE_MS);
    if (now.sun.apparentElevationDeg > 0) nodes[i] = now;
  }
  for (let k = minutes.from; k <= minutes.to && k < DAY_MINUTES; k++) {
    const i = Math.floor((k + 0.5) / NODE_MIN);
    const [a, b] = [nodes[i]?.sun, nodes[i + 1]?.sun];
    if (a === undefined || b === undefined) continue;
    const share = (k + 0.5) / NODE_MIN - i;
    const turned = ((b.azimuthDeg - a.azimuthDeg + 540) % 360) - 180;
    azimuthDeg[k] = (a.azimuthDeg + share * turned + 360) % 360;
    elevationDeg[k] = a.apparentElevationDeg + share * (b.apparentElevationDeg - a.apparentElevationDeg);
  }
  return { nodes, azimuthDeg, elevationDeg };
}

/** `physicalModifier` by cosine: asked for many planes, it would cost more than all else. */
const PASSES_STEPS = 400;
const PASSES = Float64Array.from({ length: PASSES_STEPS + 2 }, (_, i) =>
  physicalModifier(Math.acos(Math.min(1, i / PASSES_STEPS)) / RAD),
);

function passes(cosAoi: number): number {
  const x = Math.min(1, Math.max(0, cosAoi)) * PASSES_STEPS;
  const i = Math.floor(x);
  return PASSES[i]! + (x - i) * (PASSES[i + 1]! - PASSES[i]!);
}

export interface WattsUnder {
  readonly perW: number;
  readonly beamShare: number;
  readonly towards: number;
  readonly facing: number;
}

const DARK: WattsUnder = { perW: 0, beamShare: 0, towards: 0, facing: 0 };

/** Watts for each watt of label under one sky, and the sun's own share of them. No losses: the scale is learned. */
export function wattsUnder(sky: ClearSky | null, plane: Plane): WattsUnder {
  if (sky === null) return DARK;
  const light = onPlane(sky, plane);
  const fromSun = light.beamWm2 + light.circumsolarWm2;
  const even = light.skyWm2 + light.groundWm2;
  const beam = fromSun * passes(light.cosAoi);
  if (beam + even <= 0) return DARK;
  const cellTempC = rossTempC(fromSun + even, UNKNOWN_AIR.tempC);
  return {
    perW: dcPowerW(beam + even, cellTempC, 1, UNKNOWN_POWER_PER_K),
    beamShare: beam / (beam + even),
    towards: (beam + even) / sky.ghiWm2,
    facing: light.cosAoi,
  };
}

export function dayLight(sun: DaySun, plane: Plane): DayLight {
  const at = sun.nodes.map(node => wattsUnder(node, plane));
  const perW = new Float64Array(DAY_MINUTES);
  const beamShare = new Float64Array(DAY_MINUTES);
  const towards = new Float64Array(DAY_MINUTES);
  const facing = new Float64Array(DAY_MINUTES);
  for (let k = 0; k < DAY_MINUTES; k++) {
    if (sun.elevationDeg[k]! <= 0) continue;
    const i = Math.floor((k + 0.5) / NODE_MIN);
    const share = (k + 0.5) / NODE_MIN - i;
    const [a, b] = [at[i]!, at[i + 1]!];
    perW[k] = a.perW + share * (b.perW - a.perW);
    beamShare[k] = a.beamShare + share * (b.beamShare - a.beamShare);
    towards[k] = a.towards + share * (b.towards - a.towards);
    facing[k] = a.facing + share * (b.facing - a.facing);
  }
  return { perW, beamShare, towards, facing };
}
