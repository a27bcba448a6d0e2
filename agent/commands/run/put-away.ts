/** The reminder for a station that was put away: what is expected to be left, and the day to top it up. */
import { civilDate, shiftDate } from '#energy/civil-day';
import { IDLE_LOSS, LOOK_AFTER_DAYS, leftAfter, topUpAt } from '#energy/estimates/put-away';
import { WattkeepError } from '#kit';
import type { RecordQueries } from '#messages';
import { reminderCalendar } from '../../exchange/calendar.ts';
import * as words from './put-away-words.ts';

const DAY_MS = 86_400_000;
/** In the morning, so that the day is left for it. */
const REMINDS_AT_HOUR = 9;

export interface PutAwayStation {
  readonly id: string;
  readonly name: string;
  readonly zone: string;
  /** The last that was known; null where nothing was. */
  readonly pct: number | null;
}

/** @throws WattkeepError REQUEST_INVALID for a station that is not put away */
export function putAwayCalendar(record: Pick<RecordQueries, 'spans'>, station: PutAwayStation, nowMs: number): string {
  const { id, name, zone, pct } = station;
  const since = record.spans(id, nowMs, nowMs + 1).findLast(({ reason, toMs }) => reason === 'stored' && toMs === null);
  if (since === undefined)
    throw new WattkeepError('REQUEST_INVALID', `${name} is not put away.`, 'Put it away in Setup first.');
  const storedOn = civilDate(since.fromMs, zone);
  const date = dayToTell(shiftDate(storedOn, (topUpAt(since.fromMs, pct) - since.fromMs) / DAY_MS), nowMs, zone);
  return reminderCalendar({
    uid: `put-away-${id}-${since.fromMs}@wattkeep`,
    madeAt: nowMs,
    date,
    dayAfter: shiftDate(date, 1),
    summary: words.summary(name),
    description: words.description({
      name,
      since: storedOn,
      fromPct: pct,
      left: pct === null ? null : leftAfter(pct, (Date.parse(date) - Date.parse(storedOn)) / DAY_MS),
      loss: IDLE_LOSS,
      lookAfterDays: LOOK_AFTER_DAYS,
    }),
    remindsAtHour: REMINDS_AT_HOUR,
  });
}

/** A day that is over reminds nobody: then it is tomorrow. */
function dayToTell(planned: string, nowMs: number, zone: string): string {
  const today = civilDate(nowMs, zone);
  return planned < today ? shiftDate(today, 1) : planned;
}
