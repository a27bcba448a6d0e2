/**
 * What is left of a station that lies switched off, and when to top it up. Lithium cells lose a percent or two of their
 * capacity a month at room temperature and the electronics around them a little more: 1 to 6 percent points a month in
 * all (common practice, no source; warmth doubles it). Looked after every three months at the latest: storage advice
 * for consumers (US Fire Administration). Percent of the capacity; instants epoch ms.
 */
const DAY_MS = 86_400_000;
const MONTH_DAYS = 30;

/** Percent points a month. */
export const IDLE_LOSS = { least: 1, most: 6 } as const;
/** Topped up before less than this may be left (common practice, no source): what stands empty is harmed. */
export const TOP_UP_PCT = 30;
export const LOOK_AFTER_DAYS = 90;

/** @returns the range that is expected after so long, percent */
export function leftAfter(fromPct: number, days: number): { leastPct: number; mostPct: number } {
  const after = (loss: number) => Math.max(0, fromPct - (loss * days) / MONTH_DAYS);
  return { leastPct: after(IDLE_LOSS.most), mostPct: after(IDLE_LOSS.least) };
}

/** @param fromPct null: not known. Never before the next day: nobody tops up what was just put away at once. */
export function topUpAt(putAwayAt: number, fromPct: number | null): number {
  const days = fromPct === null ? LOOK_AFTER_DAYS : ((fromPct - TOP_UP_PCT) / IDLE_LOSS.most) * MONTH_DAYS;
  return putAwayAt + Math.max(1, Math.min(LOOK_AFTER_DAYS, Math.floor(days))) * DAY_MS;
}
