/** What stands beside what, and how the address names it: `?one=shed&oneFrom=2026-06-01&oneTo=2026-06-30&other=…`. Pure. */
import { shiftDate } from '#energy/civil-day';

export interface Side {
  station: string;
  /** Civil dates, both included. */
  from: string;
  to: string;
}

export interface Sides {
  one: Side;
  other: Side;
}

/** A year and a leap day. */
export const MOST_DAYS = 366;
/** Of two stations; of one, a week against the week before. */
const USUAL_DAYS = { two: 30, one: 7 };

const isDate = (text: string | null): text is string =>
  text !== null && /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text)) && shiftDate(text, 0) === text;

export const daysIn = ({ from, to }: Side): number => (Date.parse(to) - Date.parse(from)) / 86_400_000 + 1;

/** Why a side cannot be shown. */
export function wrongOf(side: Side): 'date' | 'order' | 'long' | null {
  if (!isDate(side.from) || !isDate(side.to)) return 'date';
  if (side.from > side.to) return 'order';
  return daysIn(side) > MOST_DAYS ? 'long' : null;
}

/**
 * What the address asks for; what it leaves open is the last thirty days of two stations, or the last week of one against
 * the week before.
 *
 * @param stations ids, the selected one first
 * @param today civil date; it is never whole, so that the usual period ends the day before
 */
export function sidesOf(search: string, stations: readonly string[], today: string): Sides {
  const query = new URLSearchParams(search);
  const [first = '', second = first] = stations;
  const known = (name: string, usual: string) => {
    const told = query.get(name);
    return told !== null && stations.includes(told) ? told : usual;
  };
  const date = (name: string, usual: string) => {
    const told = query.get(name);
    return isDate(told) ? told : usual;
  };
  const to = date('oneTo', shiftDate(today, -1));
  const station = known('one', first);
  const another = known('other', stations.find(id => id !== station) ?? second);
  const usual = USUAL_DAYS[station === another ? 'one' : 'two'];
  const one = { station, from: date('oneFrom', shiftDate(to, 1 - usual)), to };
  const before = shiftDate(one.from, -1);
  const isSame = another === one.station;
  return {
    one,
    other: {
      station: another,
      from: date('otherFrom', isSame ? shiftDate(before, 1 - daysIn(one)) : one.from),
      to: date('otherTo', isSame ? before : one.to),
    },
  };
}

export const addressOf = ({ one, other }: Sides): string =>
  `/ledger/beside?${new URLSearchParams({
    one: one.station,
    oneFrom: one.from,
    oneTo: one.to,
    other: other.station,
    otherFrom: other.from,
    otherTo: other.to,
  })}`;
