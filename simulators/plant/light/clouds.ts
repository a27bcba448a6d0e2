/**
 * Clouds over one place on a broken day: a closed deck whose thickness wanders over minutes, and stretches where it
 * breaks into separate clouds with sun between. Beside a cloud the sky throws extra light, so the level plane gets more
 * than a clear sky would give. Tuned to one measured day (one-minute global irradiance near Boulder, 14 October 2018);
 * pure in time and seed.
 */
import { noise, STREAM } from '../chance.ts';

/** What clouds make of a clear sky. */
export interface CloudEffect {
  /** Share of the beam that comes through, 0..1. */
  beamShare: number;
  /** Share of the sky that the deck covers, 0..1: its diffuse replaces the clear one. */
  covered: number;
  /** Diffuse under the deck, as a share of the clear sky's global. */
  deckShare: number;
  /** Extra diffuse from cloud edges, as a share of the clear sky's global. */
  edgeShare: number;
}

export interface BrokenDay {
  /** Mean share of the clear sky's global under the deck. */
  readonly deckShare: number;
  /** How easily the deck opens, about −0.1 seldom … 0.1 often. */
  readonly opening: number;
}

const MINUTE_MS = 60_000;
const LAYER_MS = 130 * MINUTE_MS;
const THICK_MS = 30 * MINUTE_MS;
const RIPPLE_MS = 6 * MINUTE_MS;
const TEXTURE_MS = 90_000;
const OPENING_MS = 120 * MINUTE_MS;
const OPENING_EDGE_MS = 22 * MINUTE_MS;
const CLOUD_MS = 4 * MINUTE_MS;
const TUFT_MS = 45_000;

const smoothstep = (from: number, to: number, x: number): number => {
  const f = Math.min(1, Math.max(0, (x - from) / (to - from)));
  return f * f * (3 - 2 * f);
};

/** Clouds of a broken day at an instant. */
export function brokenClouds(day: BrokenDay, seed: number, ms: number): CloudEffect {
  const layer = noise(seed, STREAM.layer, ms / LAYER_MS) - 0.5;
  const thick = noise(seed, STREAM.slowCloud, ms / THICK_MS) - 0.5;
  const ripple = noise(seed, STREAM.ripple, ms / RIPPLE_MS) - 0.5;
  const texture = noise(seed, STREAM.texture, ms / TEXTURE_MS) - 0.5;
  const deckShare = day.deckShare * (1 + 0.56 * layer + 0.45 * thick + 0.24 * ripple + 0.1 * texture);
  const field =
    0.72 * noise(seed, STREAM.opening, ms / OPENING_MS) + 0.28 * noise(seed, STREAM.openingEdge, ms / OPENING_EDGE_MS);
  const opened = smoothstep(0.64, 0.74, field + day.opening);
  if (opened === 0) return { beamShare: 0.03, covered: 1, deckShare, edgeShare: 0 };
  const cloud = 0.7 * noise(seed, STREAM.fastCloud, ms / CLOUD_MS) + 0.3 * noise(seed, STREAM.tuft, ms / TUFT_MS);
  const gap = opened * (1 - smoothstep(0.43, 0.59, cloud));
  const rim = Math.exp(-(((cloud - 0.41) / 0.07) ** 2));
  return {
    beamShare: 0.03 + 0.97 * gap,
    covered: 1 - gap,
    deckShare: deckShare + 0.06 * opened,
    edgeShare: gap * (0.05 + 0.2 * rim),
  };
}
