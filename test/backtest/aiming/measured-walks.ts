/**
 * Walks under measured skies, and walks with measured power: there both spots share the measured course and differ by a
 * factor, panels in hands give a part of it, and the tracker takes some seconds to come back.
 */
import { type Chance, createChance } from '#energy/estimates/chance';
import type { MeasuredPower, MeasuredSkies } from './measured.ts';
import { drawManner, drawWalk, type Scene, type Source, type Walk } from './walks.ts';

/** Longest walk: eight minutes, carrying, two minutes, back again. */
const ROOM_MS = 13 * 60_000;

const startIn = (day: { fromMs: number; toMs: number }, chance: Chance): number =>
  Math.floor((day.fromMs + chance.uniform() * (day.toMs - ROOM_MS - day.fromMs)) / 1000) * 1000;

export function walkUnder(day: MeasuredSkies, seed: number): Walk {
  const sceneOf = (chance: Chance): Scene => ({
    kind: day.name,
    place: day.place,
    altitudeM: day.altitudeM,
    startMs: startIn(day, chance),
    skies: day.skies,
  });
  return drawWalk(seed, sceneOf);
}

const RATED_W = 240;
/** What the tracker's hunting scatters by, as a share. */
const HUNTING = 0.003;
const BACK_S = 2;

/** Both spots give a share of what was measured. */
export function walkWithPower(day: MeasuredPower, seed: number): Walk {
  const chance = createChance(seed);
  const stand = { tiltDeg: day.tiltDeg, azimuthDeg: day.azimuthDeg, open: [], domeShare: 1 };
  const startMs = startIn(day, chance);
  const factor = chance.uniform() < 0.15 ? 1 : Math.exp(0.12 * chance.normal());
  const [a, b] = chance.uniform() < 0.5 ? [1, factor] : [factor, 1];
  return {
    ...drawManner(seed, chance, stand, stand),
    kind: day.name,
    place: day.place,
    altitudeM: day.altitudeM,
    startMs,
    source: () => sourceOf(day, a, b, seed),
  };
}

function sourceOf(day: MeasuredPower, a: number, b: number, seed: number): Source {
  const chance = createChance(seed + 1);
  let gives = 0;
  return {
    ratedW: RATED_W,
    stepW(ms, where, dtS) {
      const wanted =
        where === 'hands' ? 0.25 + 0.5 * createChance(seed + Math.floor(ms / 1500)).uniform() : where === 'a' ? a : b;
      gives += (wanted - gives) * -Math.expm1(-dtS / BACK_S);
      return 0.85 * RATED_W * day.shareAt(ms) * gives * (1 + HUNTING * chance.normal());
    },
    truthW: () => [a, b],
  };
}
