/**
 * The offsets of one time zone over a stretch of time, as a short list. Asking Intl once and keeping the answer lets a
 * process work out civil days without Intl, whose tables take 7 MB of it. Offsets are local minus universal time, ms,
 * east positive.
 */

/** Shorter than any stretch between two changes of a zone (the shortest, Morocco's Ramadan, lasts a month). */
const STEP_MS = 7 * 86_400_000;

export interface ZoneRules {
  /** The rules hold from here … */
  fromMs: number;
  /** … to just before here. */
  untilMs: number;
  /** In order; the first begins at `fromMs`. An offset holds until the next one. */
  offsets: readonly { fromMs: number; offsetMs: number }[];
}

/** @param offsetAt of the zone at an instant, ms */
export function findZoneRules(offsetAt: (atMs: number) => number, fromMs: number, untilMs: number): ZoneRules {
  const offsets = [{ fromMs, offsetMs: offsetAt(fromMs) }];
  for (let at = fromMs; at < untilMs; at += STEP_MS) {
    const next = Math.min(at + STEP_MS, untilMs);
    const offsetMs = offsetAt(next);
    if (offsetMs !== offsets.at(-1)!.offsetMs) offsets.push({ fromMs: changeWithin(offsetAt, at, next), offsetMs });
  }
  return { fromMs, untilMs, offsets };
}

/** The first instant in (fromMs, toMs] with the offset of toMs. */
function changeWithin(offsetAt: (atMs: number) => number, fromMs: number, toMs: number): number {
  const offsetMs = offsetAt(toMs);
  let lo = fromMs;
  let hi = toMs;
  while (hi - lo > 1) {
    const mid = Math.floor((lo + hi) / 2);
    if (offsetAt(mid) === offsetMs) hi = mid;
    else lo = mid;
  }
  return hi;
}

/** null outside the stretch that the rules hold for. */
export function offsetByRules(rules: ZoneRules, atMs: number): number | null {
  if (!(atMs >= rules.fromMs && atMs < rules.untilMs)) return null;
  return rules.offsets.findLast(({ fromMs }) => fromMs <= atMs)!.offsetMs;
}
