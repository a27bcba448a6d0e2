/**
 * Hours of which only minutes are left: their readings were let go, or were lost. They are known by what is there and
 * what is not, so that no list of them can be wrong.
 */
import type { Quantities } from '#kit';
import { quantityRow } from '#kit/quantities';
import type { KeptReading } from '#messages';
import type { Layout } from '../codec/layout.ts';
import type { Connection } from '../kept.ts';
import { type Buckets, MINUTES } from '../rollup.ts';
import type { LayoutShelf } from '../shelf.ts';
import { allBuckets } from '../stored-rollups.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = MINUTES.stepMs;
const hourOf = (at: number): number => Math.floor(at / HOUR_MS);

interface DayRow {
  startAt: number;
  layout: number;
  body: Buffer;
}

/** One UTC day's minutes, and which of them have no readings any more. */
export interface MinuteDay {
  startAt: number;
  layout: Layout;
  buckets: Buckets;
  /** Places of the minutes, in order; not empty. */
  slots: number[];
}

export interface OnlyMinutes {
  /** Days with minutes in [fromMs, toMs) of which no readings are there. No statement stays open between two steps. */
  days(station: number, fromMs: number, toMs: number): Generator<MinuteDay>;
  any(station: number, fromMs: number, toMs: number): boolean;
}

function recordedSlots(buckets: Buckets): boolean[] {
  const slots = Array.from({ length: MINUTES.spanMs / MINUTE_MS }, () => false);
  for (const { count } of buckets)
    for (let slot = 0; slot < count.length; slot++) if (count[slot]! > 0) slots[slot] = true;
  return slots;
}

export function prepareOnlyMinutes(db: Connection, shelf: LayoutShelf): OnlyMinutes {
  const nextDay = db.prepare<[number, number, number, number], DayRow>(`SELECT startAt, layout, body FROM rb
    WHERE station = ? AND stepMs = ? AND startAt > ? AND startAt < ? ORDER BY startAt LIMIT 1`);
  const withReadings = db
    .prepare<[number, number, number, number, number, number], number>(
      `SELECT DISTINCT fromAt / ${HOUR_MS} FROM blk WHERE station = ? AND fromAt >= ? AND fromAt < ?
       UNION SELECT fromAt / ${HOUR_MS} FROM tail WHERE station = ? AND fromAt >= ? AND fromAt < ?`,
    )
    .pluck();
  const step = db.transaction((station: number, after: number, fromMs: number, toMs: number) => {
    const row = nextDay.get(station, MINUTE_MS, after, toMs);
    if (row === undefined) return null;
    const { startAt } = row;
    const [from, to] = [Math.max(fromMs, startAt), Math.min(toMs, startAt + MINUTES.spanMs)];
    const [firstHour, endHour] = [hourOf(from), hourOf(to - 1) + 1];
    const range = [station, firstHour * HOUR_MS, endHour * HOUR_MS] as const;
    const hours = new Set(withReadings.all(...range, ...range));
    // Where every hour has its readings nothing need be opened.
    if (hours.size === endHour - firstHour) return { startAt, day: null };
    const layout = shelf.byId(row.layout);
    const buckets = allBuckets(row.body, layout, MINUTES);
    const slots = recordedSlots(buckets).flatMap((recorded, slot) => {
      const at = startAt + slot * MINUTE_MS;
      return recorded && at >= fromMs && at < toMs && !hours.has(hourOf(at)) ? [slot] : [];
    });
    return { startAt, day: slots.length === 0 ? null : { startAt, layout, buckets, slots } };
  });

  function* days(station: number, fromMs: number, toMs: number): Generator<MinuteDay> {
    let after = fromMs - MINUTES.spanMs;
    for (;;) {
      const found = step(station, after, fromMs, toMs);
      if (found === null) return;
      if (found.day !== null) yield found.day;
      after = found.startAt;
    }
  }

  return { days, any: (...asked) => days(...asked).next().done !== true };
}

/** Means of one minute; a running total as it stood first. */
function quantitiesOf({ layout, buckets }: MinuteDay, slot: number): Quantities {
  const quantities: Quantities = {};
  for (const [index, { key, perUnit }] of layout.channels.entries()) {
    const { count, min, sum } = buckets[index]!;
    if (count[slot] === 0) continue;
    const stored = quantityRow(key)?.counter === true ? min[slot]! : Math.round(sum[slot]! / count[slot]!);
    quantities[key] = stored / perUnit;
  }
  return quantities;
}

/** What is told in place of the readings of one minute. */
export function minuteReading(station: string, day: MinuteDay, slot: number): KeptReading {
  const at = day.startAt + slot * MINUTE_MS;
  return {
    station,
    session: 'minutes',
    seq: at / MINUTE_MS,
    monoMs: at,
    at,
    clock: 'unknown',
    quantities: quantitiesOf(day, slot),
    states: {},
    quality: 'good',
    reasons: {},
    meanOverMs: MINUTE_MS,
  };
}
