/** A stretch of time over civil days: which days it touches, and where in it they meet. */
import { type CivilDay, civilDayOf } from '#energy/civil-day';
import { splitWhole } from '#energy/integrate';

/** Finds the civil day of an instant; looks at the one found before first, since instants mostly follow each other. */
export function createDayFinder(): (at: number, zone: string) => CivilDay {
  let last: CivilDay | null = null;
  return (at, zone) => {
    if (last === null || last.zone !== zone || at < last.startMs || at >= last.endMs) last = civilDayOf(at, zone);
    return last;
  };
}

export interface DayShares {
  /** In order; one at least. */
  days: CivilDay[];
  /** A whole amount by day, in proportion to time; the shares add up exactly. */
  share(amount: number): number[];
}

/** @param fromMs,toMs UTC epoch ms, `toMs` not before `fromMs` */
export function dayShares(fromMs: number, toMs: number, dayOf: (at: number) => CivilDay): DayShares {
  const days: CivilDay[] = [];
  for (let t = fromMs; days.length === 0 || t < toMs; ) {
    const day = dayOf(t);
    days.push(day);
    t = day.endMs;
  }
  const cuts = days.slice(0, -1).map(day => (day.endMs - fromMs) / (toMs - fromMs));
  return { days, share: amount => splitWhole(amount, cuts) };
}
