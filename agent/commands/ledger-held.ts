/**
 * In which minutes a full battery or a port held the panels back: as the station itself says, as long as its readings are
 * kept; else from its state of charge and its watts.
 */
import { AT_PORT, FREE, FULL, OTHERWISE } from '#energy/ledger/day-minutes';
import type { DayFacts } from './ledger-facts.ts';
import { joined, type RecordedMinutes } from './ledger-minutes.ts';

/** State of charge this near its ceiling, or power this near the ports' limit, counts as held back. */
export const FULL_WITHIN_PCT = 0.5;
export const AT_LIMIT = 0.98;

/** A pack this near to full takes less and less (common practice, no source): on its way to full it counts as full. */
const TAPER_PCT = 97;

/** A station that speaks less often than once a minute is taken to mean the next minutes as well. */
const HOLDS_MIN = 15;
/** By the codes of `RecordQueries.limits`; what the owner stops is charged to its ceiling. */
const BY_CODE = [undefined, FREE, FULL, AT_PORT, OTHERWISE, FULL] as const;

/**
 * @param sunW watts from the sun, NaN where not recorded
 * @param told what the station itself said, by the codes of `RecordQueries.limits`; null where it never does
 */
export function heldMinutes(
  { ceilingPct, portsMaxW }: Pick<DayFacts, 'ceilingPct' | 'portsMaxW'>,
  { pct }: Pick<RecordedMinutes, 'pct'>,
  sunW: Float64Array,
  told: Uint8Array | null,
): Uint8Array {
  const charge = joined(pct);
  const held = new Uint8Array(sunW.length);
  const said = told === null ? null : heldAsTold(told);
  for (let m = 0; m < held.length; m++) {
    const presumed = charge[m]! >= ceilingPct - FULL_WITHIN_PCT ? FULL : FREE;
    if (portsMaxW !== null && sunW[m]! >= AT_LIMIT * portsMaxW) held[m] = AT_PORT;
    else held[m] = said?.[m] ?? presumed;
  }
  for (let m = held.length - 1; m > 0; m--)
    if (held[m] === FULL && held[m - 1] === FREE && charge[m - 1]! >= TAPER_PCT && said?.[m - 1] === undefined)
      held[m - 1] = FULL;
  return held;
}

/** undefined where it does not say. */
function heldAsTold(told: Uint8Array): (number | undefined)[] {
  let [last, since] = [0, 0];
  return Array.from(told, (code, m) => {
    if (code > 0) [last, since] = [code, m];
    return m - since < HOLDS_MIN ? BY_CODE[last] : undefined;
  });
}
