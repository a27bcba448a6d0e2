/**
 * One walk drawn by its seed: where, when, how the panels stand at two spots, how they are carried between, and how the
 * station tells its watts. Seeds were fixed before the first look at any figure.
 */
import { type Chance, createChance } from '#energy/estimates/chance';
import { createSun, type Place } from '../../../simulators/plant/sun.ts';
import { CELL_ROWS, type Stand } from './carried.ts';
import { drawSkies, type SkyKind, type TwoSkies } from './skies.ts';

/** What the judge is told of place and plane. */
export type Told = 'plane' | 'level' | 'nothing';

export interface Walk {
  readonly seed: number;
  readonly kind: SkyKind;
  readonly skies: TwoSkies;
  readonly place: Place;
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

export function drawWalk(
  seed: number,
  kind: SkyKind,
  measured?: (chance: Chance) => { place: Place; startMs: number; skies: TwoSkies },
): Walk {
  const chance = createChance(seed);
  const between = (min: number, max: number) => min + (max - min) * chance.uniform();
  const given = measured?.(chance);
  const place = given?.place ?? { latitudeDeg: between(-45, 58), longitudeDeg: between(-180, 180) };
  const startMs = given?.startMs ?? daytime(place, chance);
  const skies = given?.skies ?? drawSkies(kind, place, chance);
  const sun = createSun(place)(startMs);
  const sunAzimuthDeg = Math.atan2(sun.east, sun.north) * DEG;
  const a: Stand = {
    tiltDeg: between(10, 55),
    azimuthDeg: sunAzimuthDeg + 28 * chance.normal(),
    open: ALL_OPEN,
    domeShare: between(0.8, 1),
  };
  const b = otherStand(a, chance);
  const swap = chance.uniform() < 0.5;
  const toldAs = chance.uniform();
  const rate = chance.uniform();
  const stood = chance.uniform();
  return {
    seed,
    kind,
    skies,
    place,
    startMs,
    a: swap ? b : a,
    b: swap ? a : b,
    toldTurn: { tiltDeg: 4 * chance.normal(), azimuthDeg: 8 * chance.normal() },
    told: toldAs < 0.5 ? 'plane' : toldAs < 0.8 ? 'level' : 'nothing',
    ratedTold: chance.uniform() < 0.8,
    firstMs: 1000 * Math.round(stood < 0.35 ? between(25, 60) : between(60, 480)),
    startsWarm: chance.uniform() < 0.75,
    carryMs: 1000 * Math.round(between(5, 25)),
    backMs: 1000 * Math.round(between(5, 25)),
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
