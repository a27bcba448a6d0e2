/**
 * Whether wrong ranges mend: ranges that were really said, halved on purpose, and their outcomes in random order, one an
 * outage, all of one span of horizons. Each repeat is seeded. Eight in ten should hold again after some thirty.
 */
import { createChance } from '#energy/estimates/chance';
import {
  afterOutcome,
  BUCKETS,
  bucketOf,
  repairedRange,
  type TimeRange,
  UNREPAIRED,
} from '#energy/estimates/range-repair';
import { holds } from '#energy/estimates/scoring/range-error';

const OUTCOMES = 60;
const REPEATS = 200;

export interface Mended {
  /** Share of ranges that held, of outcomes 1-10, 11-30 and 31-60. */
  first: number;
  then: number;
  last: number;
  repeats: number;
}

/** @returns null where no span of horizons has enough outcomes */
export function mendHalved(outcomes: readonly { range: TimeRange; trueMin: number }[]): Mended | null {
  const full = Array.from({ length: BUCKETS }, (_, bucket) =>
    outcomes.filter(o => bucketOf(o.range.p50 / 60) === bucket),
  ).filter(of => of.length >= OUTCOMES);
  if (full.length === 0) return null;
  const held = [0, 0, 0];
  for (let repeat = 0; repeat < REPEATS; repeat++) {
    const chance = createChance(repeat + 1);
    const of = full[repeat % full.length]!;
    let scale = UNREPAIRED;
    for (let i = 0; i < OUTCOMES; i++) {
      const { range, trueMin } = of[Math.floor(chance.uniform() * of.length)]!;
      const told = repairedRange(halved(range), scale);
      if (holds(told, trueMin)) held[i < 10 ? 0 : i < 30 ? 1 : 2]!++;
      scale = afterOutcome(scale, told, trueMin);
    }
  }
  const [first, then, last] = [held[0]! / (10 * REPEATS), held[1]! / (20 * REPEATS), held[2]! / (30 * REPEATS)];
  return { first, then, last, repeats: REPEATS };
}

const halved = ({ p10, p50, p90 }: TimeRange): TimeRange => ({
  p10: p50 - (p50 - p10) / 2,
  p50,
  p90: p50 + (p90 - p50) / 2,
});
