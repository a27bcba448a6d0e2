/**
 * Chance by counter: a draw is a pure function of (seed, stream, index), so the sky of a given day is the same whoever
 * asks, in whatever order, and a plant can be started anywhere in time.
 * Mixing: the 32-bit finaliser of MurmurHash3 (A. Appleby, public domain), applied twice.
 */

const mix = (x: number): number => {
  let h = x | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return h ^ (h >>> 16);
};

/** Streams keep draws for different purposes apart. */
export const STREAM = {
  weather: 1,
  regime: 2,
  slowCloud: 3,
  fastCloud: 4,
  haze: 5,
  router: 7,
  kettle: 8,
  extractor: 9,
  cabinet: 10,
  lamp: 11,
  door: 12,
  leaves: 13,
  ripple: 14,
  opening: 15,
  openingEdge: 16,
  tuft: 17,
  wind: 18,
  layer: 19,
  texture: 20,
  carry: 21,
} as const;

/** Uniform in [0, 1). `index` may be any integer up to 2^53. */
export function draw(seed: number, stream: number, index: number): number {
  const low = index | 0;
  const high = Math.floor(index / 4294967296) | 0;
  const h = mix(
    mix(low ^ Math.imul(seed | 0, 0x9e3779b1)) ^ Math.imul(stream, 0x27d4eb2f) ^ Math.imul(high, 0x165667b1),
  );
  return (h >>> 0) / 4294967296;
}

/** Between `min` and `max`, uniform. */
export const drawBetween = (seed: number, stream: number, index: number, min: number, max: number): number =>
  min + (max - min) * draw(seed, stream, index);

/** Smooth noise over x in [0, 1): draws at whole x, joined by a cubic ease. Correlated over about one unit of x. */
export function noise(seed: number, stream: number, x: number): number {
  const i = Math.floor(x);
  const f = x - i;
  const a = draw(seed, stream, i);
  return a + (draw(seed, stream, i + 1) - a) * f * f * (3 - 2 * f);
}
