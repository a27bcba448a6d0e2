/** Whether an external meter tells what it is there for: all of the run, and about what the station itself tells. */
import type { MeterFacts, Spoiled } from './asked.ts';
import type { Compared } from './meter.ts';
import { spoiled } from './watch.ts';

/** Below this share of the run covered nothing is said by it; own judgement. */
export const COVERED_LEAST = 0.5;
const SILENT_SHARE = 0.97;
/** Farther off than any instrument is: it measures something else. */
const DISAGREES = 0.2;

/** Of what both told, while it runs and at its end; null where a meter was named and told too little to be held against anything. */
export function meterSeen(
  facts: MeterFacts | null,
  beside: Compared | null,
  fromAt: number,
  toAt: number,
  runs: boolean,
): Spoiled[] {
  // The next count is typed when the owner looks at it next.
  if (facts === null || (beside === null && runs && facts.byHand === true)) return [];
  if (beside === null || (beside.covered < SILENT_SHARE && !(runs && facts.byHand === true)))
    return [spoiled('meterSilent', fromAt, toAt, 'noted', 100 * (1 - (beside?.covered ?? 0)), '%')];
  const off = beside.ratio - 1;
  return Math.abs(off) < DISAGREES ? [] : [spoiled('meterDisagrees', fromAt, toAt, 'noted', 100 * off, '%')];
}

/** What may be said by the meter: it covered enough, and it is the same energy. */
export const trusted = (beside: Compared | null): Compared | null =>
  beside !== null && beside.covered >= COVERED_LEAST && Math.abs(beside.ratio - 1) < DISAGREES ? beside : null;
