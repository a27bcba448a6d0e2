/**
 * What a station's own counters counted, as it is told reading by reading: additions to days, and blocks over gaps.
 * Energies whole mJ, counter values whole mWh, instants UTC epoch ms.
 */
import type { CivilDay } from '#energy/civil-day';
import type { CounterName } from '#kit';
import type { StepCause } from './counter.ts';

/** Where a counter stood when it was last told. */
export interface CounterEnd {
  quantity: CounterName;
  lastMilliWh: number;
  lastAt: number;
  /** How long it had stood there. */
  unchangedMs: number;
  /** The greatest common divisor of its values. */
  stepMilliWh: number;
}

/** What one reading adds to what a counter counted on a civil day. All but the end is added up. */
export interface CountedAddition extends CivilDay, CounterEnd {
  countedMilliJ: number;
  /** Of it, counted while its watts were integrated as well. */
  comparedMilliJ: number;
  /** What they came to meanwhile. */
  integratedMilliJ: number;
  /** The time of that in which anything flowed. */
  flowMs: number;
  /** Unbroken stretches compared that began here: each is off by a step at both its ends. */
  stretches: number;
  /** The largest single step compared: the greatest of all counts. */
  largestMilliJ: number;
  /** What lies between readings is not known: its variance, Wh². */
  spreadWh2: number;
}

/** What a counter gained over a gap, or where it broke off. */
export interface BridgeFound {
  quantity: CounterName;
  fromAt: number;
  toAt: number;
  /** null: not known, for the reason of `cause`. */
  milliJ: number | null;
  cause: StepCause;
  /** Time in between in which its power was not followed. */
  gapMs: number;
  fromMilliWh: number;
  toMilliWh: number;
  stepMilliWh: number;
}

export interface CountersTold {
  counted: CountedAddition[];
  bridges: BridgeFound[];
}

/** A day on which a counter was told, and nothing counted yet. */
export const emptyCounted = ({ date, zone, startMs, endMs }: CivilDay, end: CounterEnd): CountedAddition => ({
  date,
  zone,
  startMs,
  endMs,
  countedMilliJ: 0,
  comparedMilliJ: 0,
  integratedMilliJ: 0,
  flowMs: 0,
  stretches: 0,
  largestMilliJ: 0,
  spreadWh2: 0,
  ...end,
});

/** The sum of two parts of what a counter counted on a day. */
export function addCounted<C extends CountedAddition>(a: C, b: CountedAddition): C {
  const { lastMilliWh, lastAt, unchangedMs, stepMilliWh } = b.lastAt >= a.lastAt ? b : a;
  return {
    ...a,
    countedMilliJ: a.countedMilliJ + b.countedMilliJ,
    comparedMilliJ: a.comparedMilliJ + b.comparedMilliJ,
    integratedMilliJ: a.integratedMilliJ + b.integratedMilliJ,
    flowMs: a.flowMs + b.flowMs,
    stretches: a.stretches + b.stretches,
    largestMilliJ: Math.max(a.largestMilliJ, b.largestMilliJ),
    spreadWh2: a.spreadWh2 + b.spreadWh2,
    lastMilliWh,
    lastAt,
    unchangedMs,
    stepMilliWh,
  };
}
