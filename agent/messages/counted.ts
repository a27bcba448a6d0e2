/**
 * What the record holds of a station's own counters: a second ledger, never added to what is integrated here. Energies
 * whole mJ, counter values whole mWh, instants UTC epoch ms.
 */
import type { CounterName } from '#kit';

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

/** What one counter counted on a civil day while readings came; bridged blocks are not in it. */
export interface CountedDay extends CounterEnd {
  date: string;
  zone: string;
  startMs: number;
  endMs: number;
  countedMilliJ: number;
  /** Of it, counted while its watts were integrated as well. */
  comparedMilliJ: number;
  /** What they came to meanwhile. */
  integratedMilliJ: number;
  /** The time of that in which anything flowed. */
  flowMs: number;
  /** Unbroken stretches compared that began that day: each is off by a step at both its ends. */
  stretches: number;
  /** The largest single step compared. */
  largestMilliJ: number;
  /** What lies between readings is not known: its variance, Wh². */
  spreadWh2: number;
}

/** Added to a day in the same transaction as the readings it came from; where the counter stood later counts. */
export interface CountedDelta extends CountedDay {
  station: string;
}

/** What a counter gained over a gap, or where it broke off: identified by station, quantity and `fromAt`. */
export interface BridgedBlock {
  station: string;
  quantity: CounterName;
  fromAt: number;
  toAt: number;
  /** null: not known, for the reason of `cause`. */
  milliJ: number | null;
  /** It counted on, or ran over once; it began again; it gained more than could pass; it may have run over more than once. */
  cause: 'counted' | 'wrapped' | 'reset' | 'unlikely' | 'overrun';
  /** Time in between that was not recorded. */
  gapMs: number;
  fromMilliWh: number;
  toMilliWh: number;
  stepMilliWh: number;
}
