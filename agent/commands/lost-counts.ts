/** What a station's own counters said on a day of which only the readings are left, as after a rescue. */
import type { KeptReading } from '#messages';
import { addCounted, type BridgeFound, type CountedAddition } from '../derive/counted.ts';
import { createCounters } from '../derive/counters.ts';
import type { StationFacts } from '../derive/facts.ts';

/** Nothing of the owner's is needed but the zone: what can have passed is bounded widely. */
const followed = (intervalMs: number, zone: string): StationFacts => ({
  intervalMs,
  zone,
  ratedWh: null,
  floorPct: 0,
  ceilingPct: 100,
  lowCutoffPct: 0,
  inputSource: 'unknown',
  panels: [],
  solarMaxW: null,
  place: null,
});

/** @param readings of one day, in order; what passed before the first is not known */
export function countsOf(
  readings: readonly KeptReading[],
  intervalMs: number,
  zone: string,
): { counted: CountedAddition[]; bridges: BridgeFound[] } {
  const counters = createCounters([], null);
  const facts = followed(intervalMs, zone);
  const counted = new Map<string, CountedAddition>();
  const bridges: BridgeFound[] = [];
  for (const reading of readings) {
    const told = counters.add(reading, reading.quantities.solarPowerW ?? null, facts);
    bridges.push(...told.bridges);
    for (const part of told.counted) {
      const before = counted.get(part.quantity);
      counted.set(part.quantity, before === undefined ? part : addCounted(before, part));
    }
  }
  return { counted: [...counted.values()], bridges };
}
