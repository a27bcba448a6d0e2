/** In which minutes a full battery or a port held the panels back, from what the record tells minute by minute. */
import { AT_PORT, FREE, FULL } from '#energy/ledger/day-minutes';
import type { DayFacts } from './ledger-facts.ts';
import { joined, type RecordedMinutes } from './ledger-minutes.ts';

/** State of charge this near its ceiling, or power this near the ports' limit, counts as held back. */
export const FULL_WITHIN_PCT = 0.5;
export const AT_LIMIT = 0.98;

/** A pack this near to full takes less and less (common practice, no source): on its way to full it counts as full. */
const TAPER_PCT = 97;

/** @param sunW watts from the sun, NaN where not recorded */
export function heldMinutes(
  { ceilingPct, portsMaxW }: Pick<DayFacts, 'ceilingPct' | 'portsMaxW'>,
  { pct }: Pick<RecordedMinutes, 'pct'>,
  sunW: Float64Array,
): Uint8Array {
  const charge = joined(pct.slice());
  const held = new Uint8Array(sunW.length);
  for (let m = 0; m < held.length; m++) {
    if (portsMaxW !== null && sunW[m]! >= AT_LIMIT * portsMaxW) held[m] = AT_PORT;
    else held[m] = charge[m]! >= ceilingPct - FULL_WITHIN_PCT ? FULL : FREE;
  }
  for (let m = held.length - 1; m > 0; m--)
    if (held[m] === FULL && held[m - 1] === FREE && charge[m - 1]! >= TAPER_PCT) held[m - 1] = FULL;
  return held;
}
