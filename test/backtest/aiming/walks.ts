/**
 * One walk drawn by its seed: where, when, how the panels stand at two spots, how they are carried between, and how the
 * station tells its watts. Seeds were fixed before the first look at any figure.
 */
import { type Chance, createChance } from '#energy/estimates/chance';
import { createSun, type Place } from '../../../simulators/plant/sun.ts';
import { CARRIED_RATED_W, CELL_ROWS, createCarried, type Stand, settledW } from './carried.ts';
import type { Where } from './judged.ts';
import { drawSkies, type SkyKind, type TwoSkies } from './skies.ts';

/** What the judge is told of place and plane. */
export type Told = 'plane' | 'level' | 'nothing';

/** What gives the watts of one walk. */
export interface Source {
  readonly ratedW: number;
  /** In order of time. @returns mean power of the step that begins at `ms`, W */
  stepW(ms: number, where: Where, dtS: number): number;
  /** What both spots give once cells are warm and the tracker has settled, W; `asItIs`: under the clouds of the moment. */
  truthW(ms: number, asItIs: boolean): readonly [a: number, b: number];
}

export interface Walk {
  readonly seed: number;
  /** Sky, for the tables. */
  readonly kind: string;
  readonly place: Place;
  readonly altitudeM: number;
  /** Begins anew each time. */
  source(): Source;
  readonly startMs: number;
  readonly a: Stand;
  readonly b: Stand;
  /** How it was told of the planes: as it stands, with the errors of a hand and an eye. */
  readonly toldTurn: { readonly tiltDeg: number; readonly azimuthDeg: number };
  readonly told: Told;
  readonly ratedTold: boolean;
  /** Panels stand at the first spot for this long before they are taken up. */
  readonly firstMs: number;
  /** Whether their cells are warm by then, or they were unfolded at the start. */
  readonly startsWarm: boolean;
  readonly carryMs: number;
  /** Back to the first spot, for there and back again. */
  readonly backMs: number;
  readonly everyMs: number;
  readonly stepW: number;
}

const DAY_MS = 86_400_000;
/** 1 January 2026. */
const EPOCH_MS = Date.UTC(2026, 0, 1);
const LOWEST_SUN = Math.sin((18 * Math.PI) / 180);
const DEG = 180 / Math.PI;

const ALL_OPEN: readonly number[] = new Array<number>(CELL_ROWS).fill(1);

/** A daytime instant of a drawn day. */
function daytime(place: Place, chance: Chance): number {
  const sunAt = createSun(place);
  for (;;) {
    const at = EPOCH_MS + chance.uniform() * 365 * DAY_MS;
    if (sunAt(at).up > LOWEST_SUN && sunAt(at + 20 * 60_000).up > LOWEST_SUN) return Math.floor(at / 1000) * 1000;
  }
}

/** A second spot: the same again, turned a little or much, or partly shaded. */
function otherStand(a: Stand, chance: Chance): Stand {
  const kind = chance.uniform();
  if (kind < 0.15) return a;
  if (kind < 0.65) {
    const size = chance.uniform() < 0.5 ? 6 : 22;
    return {
      ...a,
      tiltDeg: Math.min(85, Math.max(0, a.tiltDeg + size * chance.normal() * 0.6)),
      azimuthDeg: a.azimuthDeg + size * chance.normal(),
    };
  }
  if (kind < 0.85) {
    const rows = 1 + Math.floor(chance.uniform() * CELL_ROWS);
    const through = chance.uniform();
    return { ...a, open: a.open.map((o, k) => (k < rows ? o * through : o)), domeShare: 0.7 + 0.3 * chance.uniform() };
  }
  return { ...a, domeShare: 0.6 + 0.4 * chance.uniform() };
}

/** Where and when a walk is, under which sky. */
export interface Scene {
  readonly kind: string;
  readonly place: Place;
  readonly altitudeM: number;
  readonly startMs: number;
  readonly skies: TwoSkies;
}

/** On the plant, anywhere, on any day. */
export const anywhere =
  (kind: SkyKind) =>
  (chance: Chance): Scene => {
    const place = { latitudeDeg: between(chance, -45, 58), longitudeDeg: between(chance, -180, 180) };
    const startMs = daytime(place, chance);
    return { kind, place, altitudeM: 0, startMs, skies: drawSkies(kind, place, chance) };
  };

function carriedSource(walk: Walk, { sky, clear }: TwoSkies): Source {
  const panels = createCarried();
  if (walk.startsWarm) panels.warmUp(sky(walk.startMs), walk.a);
  return {
    ratedW: CARRIED_RATED_W,
    stepW: (ms, where, dtS) => panels.step(sky(ms), where === 'hands' ? inHands(walk, ms) : walk[where], ms, dtS),
    truthW: (ms, asItIs) => {
      const now = (asItIs ? sky : clear)(ms);
      return [settledW(now, walk.a), settledW(now, walk.b)];
    },
  };
}

const between = (chance: Chance, min: number, max: number) => min + (max - min) * chance.uniform();

export function drawWalk(seed: number, sceneOf: (chance: Chance) => Scene): Walk {
  const chance = createChance(seed);
  const { skies, ...scene } = sceneOf(chance);
  const sun = createSun(scene.place)(scene.startMs);
  const sunAzimuthDeg = Math.atan2(sun.east, sun.north) * DEG;
  const a: Stand = {
    tiltDeg: between(chance, 10, 55),
    azimuthDeg: sunAzimuthDeg + 28 * chance.normal(),
    open: ALL_OPEN,
    domeShare: between(chance, 0.8, 1),
  };
  const walk: Walk = {
    ...drawManner(seed, chance, a, otherStand(a, chance)),
    ...scene,
    source: () => carriedSource(walk, skies),
  };
  return walk;
}

/** How the one who walks goes about it, and how the station tells its watts. */
export function drawManner(seed: number, chance: Chance, a: Stand, b: Stand) {
  const swap = chance.uniform() < 0.5;
  const toldAs = chance.uniform();
  const rate = chance.uniform();
  const stood = chance.uniform();
  return {
    seed,
    a: swap ? b : a,
    b: swap ? a : b,
    toldTurn: { tiltDeg: 4 * chance.normal(), azimuthDeg: 8 * chance.normal() },
    told: (toldAs < 0.5 ? 'plane' : toldAs < 0.8 ? 'level' : 'nothing') as Told,
    ratedTold: chance.uniform() < 0.8,
    firstMs: 1000 * Math.round(stood < 0.35 ? between(chance, 25, 60) : between(chance, 60, 480)),
    startsWarm: chance.uniform() < 0.75,
    carryMs: 1000 * Math.round(between(chance, 5, 25)),
    backMs: 1000 * Math.round(between(chance, 5, 25)),
    everyMs: rate < 0.2 ? 250 : rate < 0.8 ? 1000 : rate < 0.9 ? 5000 : 10_000,
    stepW: chance.uniform() < 0.7 ? 1 : 0.1,
  };
}

/** Panels in hands: anyhow, mostly not towards the sun, now and then in one's own shadow. */
export function inHands(walk: Walk, ms: number): Stand {
  const swing = createChance(walk.seed * 7919 + Math.floor(ms / 1500));
  const shadow = swing.uniform();
  return {
    tiltDeg: 90 * swing.uniform(),
    azimuthDeg: walk.a.azimuthDeg + 120 * (swing.uniform() - 0.5),
    open: ALL_OPEN.map((_, k) => (k / CELL_ROWS < shadow ? 1 : 0.3)),
    domeShare: 0.7,
  };
}
