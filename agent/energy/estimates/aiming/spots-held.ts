/**
 * Everything measured at one spot, and the best that can be said of two spots: plainly one after the other, there and
 * back again (A-B-A or B-A-B), or beside a reference; whichever has the narrowest range.
 */
import { besideReference, bracketed, type Difference, differenceOf, type Held } from './comparing.ts';
import type { WeatherSeen } from './weather-seen.ts';

/** Measures of one spot, oldest first. */
export type Spot = readonly Held[];

export interface Compared extends Difference {
  readonly way: 'plain' | 'thereAndBack' | 'reference';
}

/** Measures farther back than this are not held against now. */
export const OLD_MS = 30 * 60_000;

const turned = (d: Difference): Difference => ({
  ...d,
  differenceW: -d.differenceW,
  sunExplainsW: -d.sunExplainsW,
});

/** The first spot less the second as of now; null where nothing can be said. */
export function compareSpots(
  first: Spot,
  second: Spot,
  weather: WeatherSeen,
  referenceW: number | null,
  nowMs: number,
): Compared | null {
  const all: (Compared | null)[] = [];
  const skyOf = (of: readonly Held[]) =>
    weather.since(
      Math.min(...of.map(held => held.measure.fromMs)),
      of.map(held => held.measure.wander),
    );
  const way = (name: Compared['way'], d: Difference | null) => all.push(d === null ? null : { ...d, way: name });
  for (const a of first)
    for (const b of second) {
      way('plain', differenceOf(a, b, nowMs, skyOf([a, b])));
      if (referenceW !== null) way('reference', besideReference(a, b, referenceW, nowMs));
    }
  for (const [ours, others, turn] of [
    [first, second, false],
    [second, first, true],
  ] as const)
    for (let k = 1; k < ours.length; k++)
      for (const other of others) {
        const [before, after] = [ours[k - 1]!, ours[k]!];
        const d = bracketed(before, other, after, nowMs, skyOf([before, other, after]));
        way('thereAndBack', d !== null && turn ? turned(d) : d);
      }
  return all.reduce((best, d) => (d !== null && (best === null || d.giveOrTakeW < best.giveOrTakeW) ? d : best), null);
}
