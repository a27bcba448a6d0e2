/**
 * Panels taken up by hand, carried about the yard and set down again: they hang steep, swing, lie in the carrier's own
 * shadow, and are put right at the end. How long it takes and how they swing is drawn; own judgement, no source.
 */
import { draw, drawBetween, noise, STREAM } from '../chance.ts';
import type { Shade } from '../light/shade.ts';

/** How all panels stand, and behind what. */
export interface Stand {
  readonly tiltDeg: number;
  readonly azimuthDeg: number;
  readonly shade: Shade;
}

const SHORTEST_S = 15;
const LONGEST_S = 20;
const TAKEN_UP_S = 2.5;
const SET_DOWN_S = 6;
/** Folded under an arm. */
const STEEP_DEG = 78;
const SWING_DEG = 120;
/** Of the beam, what the carrier keeps off at most. */
const BODY_SHARE = 0.9;

const ease = (x: number): number => {
  const t = Math.min(1, Math.max(0, x));
  return t * t * (3 - 2 * t);
};

/** @param stand told each time the panels stand otherwise, with the share of the beam that comes through */
export function createHands(
  first: Stand,
  seed: number,
  stand: (plane: Stand, shade: Shade, passingShare: number) => void,
) {
  let at = first;
  let carried: { to: Stand; startMs: number; lengthS: number } | null = null;
  return {
    /** Begins to carry. Whoever is on the way already turns to the new place. */
    carry(to: Stand, ms: number): void {
      const lengthS = drawBetween(seed, STREAM.carry, Math.floor(ms / 1000), SHORTEST_S, LONGEST_S);
      carried = { to, startMs: ms, lengthS };
    },
    step(ms: number): void {
      if (carried === null) return;
      const { to, startMs, lengthS } = carried;
      const sinceS = (ms - startMs) / 1000;
      if (sinceS >= lengthS) {
        [at, carried] = [to, null];
        stand(to, to.shade, 1);
        return;
      }
      const base = sinceS < lengthS / 2 ? at : to;
      const wobble = noise(seed, STREAM.carry, ms / 1_300);
      const held = Math.min(ease(sinceS / TAKEN_UP_S), ease((lengthS - sinceS) / SET_DOWN_S));
      const swing = (noise(seed, STREAM.carry, 1e6 + ms / 2_100) - 0.5) * SWING_DEG;
      const tiltDeg = base.tiltDeg + (STEEP_DEG - base.tiltDeg) * held * (0.8 + 0.4 * wobble);
      const azimuthDeg = (base.azimuthDeg + swing * held + 360) % 360;
      const flicker = 0.7 + 0.3 * draw(seed, STREAM.carry, Math.floor(ms / 700));
      stand(
        { tiltDeg: Math.min(90, tiltDeg), azimuthDeg, shade: base.shade },
        base.shade,
        1 - BODY_SHARE * held * flicker,
      );
    },
  };
}
