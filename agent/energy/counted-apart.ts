/**
 * How far a station's own counter and what its watts add up to are apart over the same time, and how far they may be:
 * a counter is off by a step at both ends of each stretch; between two readings a load steps at an unknown moment; and
 * watts are told in whole ones at the coarsest. What is beyond all of it is a real disagreement: another place in the
 * station where it is measured, or a meter that is off. Energies in mJ come in, Wh go out.
 */
import { MILLIJ_PER_WH } from './integrate.ts';

/** Of one counter, over a day or a part of it. */
export interface ComparedCount {
  /** What it counted while its watts were integrated as well, and what they came to. */
  readonly comparedMilliJ: number;
  readonly integratedMilliJ: number;
  /** Time of that in which anything flowed. */
  readonly flowMs: number;
  /** Unbroken stretches that began in it. */
  readonly stretches: number;
  /** The largest single step. */
  readonly largestMilliJ: number;
  /** Variance of what lies between readings, Wh². */
  readonly spreadWh2: number;
  /** The step it counts in, as far as it is known; 0: not at all. */
  readonly stepMilliWh: number;
}

export interface CountedApart {
  readonly countedWh: number;
  readonly integratedWh: number;
  /** Counted less integrated. */
  readonly differenceWh: number;
  /** Of what was integrated; null where that is nothing. */
  readonly differencePct: number | null;
  /** Up to here the two agree. */
  readonly allowedWh: number;
  readonly beyond: boolean;
}

/** Half of a whole watt. */
const WATTS_OFF = 0.5;
/** None counts in coarser steps: one that has not moved for so long stands still. */
const LARGEST_STEP_MILLI_WH = 1_000_000;
/** Standard deviations: one in twenty is further off by chance. */
const DEVIATIONS = 2;
const MILLIJ_PER_MILLI_WH = MILLIJ_PER_WH / 1000;

/** @param parts one after another; null where nothing flowed while both spoke */
export function countedApart(parts: readonly ComparedCount[]): CountedApart | null {
  const sum = (of: (part: ComparedCount) => number): number => parts.reduce((all, part) => all + of(part), 0);
  const [compared, integrated, flowMs] = [
    sum(part => part.comparedMilliJ),
    sum(part => part.integratedMilliJ),
    sum(part => part.flowMs),
  ];
  if (compared === 0 && flowMs === 0) return null;
  const stepMilliJ = Math.max(
    ...parts.map(({ largestMilliJ, stepMilliWh }) => {
      const step = stepMilliWh === 0 ? LARGEST_STEP_MILLI_WH : Math.min(stepMilliWh, LARGEST_STEP_MILLI_WH);
      return Math.max(largestMilliJ, step * MILLIJ_PER_MILLI_WH);
    }),
  );
  // One stretch may have begun before the first part and goes on in it.
  const ends = (sum(part => part.stretches) + 1) * stepMilliJ;
  const between = DEVIATIONS * Math.sqrt(sum(part => part.spreadWh2));
  const allowedWh = (ends + WATTS_OFF * flowMs) / MILLIJ_PER_WH + between;
  const differenceWh = (compared - integrated) / MILLIJ_PER_WH;
  return {
    countedWh: compared / MILLIJ_PER_WH,
    integratedWh: integrated / MILLIJ_PER_WH,
    differenceWh,
    differencePct: integrated === 0 ? null : (100 * (compared - integrated)) / integrated,
    allowedWh,
    beyond: Math.abs(differenceWh) > allowedWh,
  };
}
