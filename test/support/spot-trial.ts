/**
 * A spot lived through for a while and what was then told of it held against the truth: sky by patches, the edge, the
 * next day's clock and the changes that were foretold.
 */
import { sunTrack } from '../../agent/energy/estimates/skyline/clock-strip.ts';
import { createSpotLearning } from '../../agent/energy/estimates/skyline/learning.ts';
import type { SpotLearning, SpotSky } from '../../agent/energy/estimates/skyline/types.ts';
import { draw } from '../../simulators/plant/chance.ts';
import { createSpotPlant, RATED_W, type SpotPlant, towards } from './spot-plant.ts';
import type { Condition, Scene, Season } from './spot-scenes.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
export const DAY_MS = 86_400_000;
const TILT_DEG = 28;

export interface Trial {
  readonly scene: Scene;
  readonly season: Season;
  readonly condition: Condition;
  readonly seed: number;
  readonly days: number;
  readonly stepS?: number;
}

/** The place as the agent knows it; its air is another than the plant's. */
const knownPlace = ({ latitudeDeg, longitudeDeg }: Season) => ({
  latitudeDeg,
  longitudeDeg,
  altitudeM: 100,
  turbidity: 3,
});

const missing = (of: Condition, seed: number, atMs: number): boolean => {
  if (of.missing === undefined) return false;
  const hour = Math.floor(atMs / HOUR_MS);
  if (of.missing === 'gaps') return draw(seed, 900, hour) < 0.25;
  // Carried: each day it stands here for two stretches of three hours that start anew each day.
  const day = Math.floor(atMs / DAY_MS);
  const ofDay = (atMs % DAY_MS) / HOUR_MS;
  const starts = [4 + 6 * draw(seed, 901, day), 11 + 6 * draw(seed, 902, day)];
  return !starts.some(start => ofDay >= start && ofDay < start + 4);
};

export interface Lived {
  readonly learning: SpotLearning;
  readonly plant: SpotPlant;
  /** First instant after the days lived through. */
  readonly endMs: number;
  readonly minutes: number;
  readonly cpuMs: number;
  /** The civil day after. */
  readonly nextDay: { startMs: number; endMs: number };
  readonly sky: SpotSky;
}

export function liveAtSpot({ scene, season, condition, seed, days, stepS }: Trial): Lived {
  const equator = season.latitudeDeg >= 0 ? 180 : 0;
  const plane = { tiltDeg: TILT_DEG, azimuthDeg: (equator + 8 + 360) % 360 };
  const plant = createSpotPlant({
    place: season,
    plane,
    shade: scene.shadeAt(season.latitudeDeg),
    seed,
    ...(stepS === undefined ? {} : { stepS }),
    ...(condition.fullAfterWh === undefined ? {} : { fullAfterWh: condition.fullAfterWh }),
    ...(condition.portShare === undefined ? {} : { portW: condition.portShare * RATED_W }),
    ...(condition.tellsLimit === undefined ? {} : { tellsLimit: condition.tellsLimit }),
    ...(condition.wholeWatts === undefined ? {} : { wholeWatts: condition.wholeWatts }),
    ...(condition.parallel === undefined ? {} : { parallel: condition.parallel }),
  });
  const said = { tiltDeg: TILT_DEG + 7, azimuthDeg: (plane.azimuthDeg + 12) % 360 };
  const learning = createSpotLearning({
    place: knownPlace(season),
    plane: condition.plane === 'unknown' ? null : condition.plane === 'tenDegreesOff' ? said : plane,
    ratedW: RATED_W,
  });
  const endMs = season.startMs + days * DAY_MS;
  const minutes = [];
  for (let atMs = season.startMs; atMs < endMs; atMs += MINUTE_MS) {
    const minute = plant.minute(atMs);
    if (minute !== null && !missing(condition, seed, atMs)) minutes.push(minute);
  }
  const before = process.cpuUsage();
  for (const minute of minutes) learning.add(minute);
  const nextDay = { startMs: endMs, endMs: endMs + DAY_MS };
  const sky = learning.sky(endMs, nextDay);
  const { user, system } = process.cpuUsage(before);
  return { learning, plant, endMs, minutes: minutes.length, cpuMs: (user + system) / 1000, nextDay, sky };
}

/** Minutes of the next day, by truth and by what was told; the penumbra and half-shaded rows are left out. */
export interface Confusion {
  sunTold: number;
  sunAsShade: number;
  sunUnknown: number;
  shadeTold: number;
  shadeAsSun: number;
  shadeUnknown: number;
}

export const noConfusion = (): Confusion => ({
  sunTold: 0,
  sunAsShade: 0,
  sunUnknown: 0,
  shadeTold: 0,
  shadeAsSun: 0,
  shadeUnknown: 0,
});

const OPEN_FROM = 0.75;
const SHUT_TO = 0.25;

function count(into: Confusion, open: number, is: 'sun' | 'shade' | 'unknown'): void {
  if (open >= OPEN_FROM) into[is === 'sun' ? 'sunTold' : is === 'shade' ? 'sunAsShade' : 'sunUnknown']++;
  else if (open <= SHUT_TO) into[is === 'shade' ? 'shadeTold' : is === 'sun' ? 'shadeAsSun' : 'shadeUnknown']++;
}

/** Patches with evidence. */
export function byPatch({ learning, plant, endMs }: Lived, into: Confusion): void {
  for (const { azimuthDeg, elevationDeg, is } of learning.patches(endMs)) {
    let open = 0;
    for (const aside of [-0.5, 0, 0.5])
      for (const up of [-0.5, 0, 0.5]) open += plant.open(towards(azimuthDeg + aside, elevationDeg + up)) / 9;
    count(into, open, is);
  }
}

/** Around a true change the clock is not asked: how well that is met is what `foretellings` says. */
const TURN_MS = 10 * MINUTE_MS;

/** Minutes of the next day's clock while the sun stands above 3°, those around a change left out. */
export function byClock({ sky, plant, nextDay }: Lived, into: Confusion): void {
  const openAt = (atMs: number) => plant.open(plant.sky(atMs).sun) >= 0.5;
  for (let atMs = nextDay.startMs; atMs < nextDay.endMs; atMs += MINUTE_MS) {
    const { sun } = plant.sky(atMs);
    if (sun.up < Math.sin((3 * Math.PI) / 180)) continue;
    if (openAt(atMs - TURN_MS) !== openAt(atMs + TURN_MS)) continue;
    const span = sky.strip?.find(of => of.fromMs <= atMs && atMs < of.toMs);
    count(into, plant.open(sun), span?.is ?? 'unknown');
  }
}

const RAD = Math.PI / 180;
const LOOK_DEG = 12;
const FINE_DEG = 0.5;

/** How far an edge that was told lies from the true one over the sky, degrees; at most `LOOK_DEG`. */
export function edgeErrors({ sky, plant }: Lived): number[] {
  return (sky.skyline ?? []).flatMap(({ azimuthDeg, edgeDeg }) => {
    if (edgeDeg === null) return [];
    let nearest = LOOK_DEG;
    const open = (aside: number, up: number) => plant.open(towards(azimuthDeg + aside, edgeDeg + up)) >= 0.5;
    for (let up = -LOOK_DEG; up <= LOOK_DEG; up += FINE_DEG) {
      if (edgeDeg + up < 0) continue;
      const narrow = Math.cos((edgeDeg + up) * RAD);
      for (let aside = -LOOK_DEG; aside <= LOOK_DEG; aside += FINE_DEG) {
        const turns = open(aside, up) !== open(aside + FINE_DEG, up) || open(aside, up) !== open(aside, up + FINE_DEG);
        if (turns) nearest = Math.min(nearest, Math.hypot(aside * narrow, up));
      }
    }
    return [nearest];
  });
}

export interface Foretelling {
  readonly errorMin: number;
  readonly giveOrTakeMin: number;
}

/** Every change of the next day that was foretold, as it would be told in the minute before; against the nearest true one. */
export function foretellings({ learning, plant, nextDay, sky }: Lived): Foretelling[] {
  const truth: { atMs: number; is: 'sun' | 'shade' }[] = [];
  let before: boolean | null = null;
  for (let atMs = nextDay.startMs; atMs < nextDay.endMs; atMs += MINUTE_MS) {
    const { sun } = plant.sky(atMs);
    if (sun.up <= 0) continue;
    const open = plant.open(sun) >= 0.5;
    if (before !== null && open !== before) truth.push({ atMs, is: open ? 'sun' : 'shade' });
    before = open;
  }
  const told = new Map<number, Foretelling>();
  for (const { fromMs } of sky.strip ?? []) {
    const { next } = learning.sky(fromMs - MINUTE_MS, nextDay);
    if (next === null || told.has(next.atMs)) continue;
    const errors = truth.filter(({ is }) => is === next.is).map(({ atMs }) => (next.atMs - atMs) / MINUTE_MS);
    const errorMin = errors.reduce((a, b) => (Math.abs(b) < Math.abs(a) ? b : a), 999);
    told.set(next.atMs, { errorMin, giveOrTakeMin: next.giveOrTakeMs / MINUTE_MS });
  }
  return [...told.values()];
}

/** The day's sun, for tests that look at it. */
export const trackOf = ({ nextDay }: Lived, season: Season) => sunTrack(knownPlace(season), nextDay);
