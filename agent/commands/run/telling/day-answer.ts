/** What is told of one day of the Ledger beside its figures: its bounds, neighbours, clear sky, marks, notes and spans. */

import { civilDate, shiftDate, startOfDate } from '#energy/civil-day';
import { clearSkyCourse } from '#energy/clear-sky-course';
import { type Night, nightsIn } from '#energy/nights';
import {
  type DayTotals,
  holdsReadings,
  type LedgerDayAnswer,
  type Note,
  type RecordQueries,
  type Span,
} from '#messages';
import { isGivenThrough, planesFrom, spotPlaneOf } from '../../../derive/standing.ts';
import { encodeDay, encodeOutages, toInstant } from '../../../server/encode.ts';
import { factsAt } from '../../ledger-facts.ts';
import { addDays } from '../pending.ts';
import { levelsAround } from './levels.ts';
import { toldSpans } from './spans.ts';

const COURSE_STEP_MS = 300_000;
const FIRST_DATE = '0000-00-00';
const LAST_DATE = '9999-99-99';

export type DayRecord = Pick<
  RecordQueries,
  'days' | 'outages' | 'spans' | 'facts' | 'series' | 'marks' | 'spots' | 'notes'
>;

/** @param zone IANA zone of a day that the record does not hold */
export function dayAnswer(
  record: DayRecord,
  { station, zone: zoneNow, nowMs }: { station: string; zone: string; nowMs: number },
  date: string,
): LedgerDayAnswer {
  const parts = record.days(station, date, date);
  const zone = parts.at(-1)?.zone ?? zoneNow;
  const startMs = Math.min(startOfDate(date, zone), ...parts.map(part => part.startMs));
  const endMs = Math.max(startOfDate(shiftDate(date, 1), zone), ...parts.map(part => part.endMs));
  const whole = parts
    .filter(holdsReadings)
    .reduce<DayTotals | null>((sum, part) => (sum === null ? part : joined(sum, part)), null);
  const within = (at: number) => at >= startMs && at < endMs;
  const names = new Map(record.spots(station).map(({ id, name }) => [id, name]));
  return {
    station,
    zone,
    date,
    today: civilDate(nowMs, zone),
    startAt: toInstant(startMs),
    endAt: toInstant(endMs),
    day: whole === null ? null : encodeDay({ ...whole, startMs, endMs }, nowMs),
    ...neighbours(record, station, date),
    ...skyOf(record, station, startMs, endMs),
    outages: encodeOutages(record.outages(station, startMs, endMs)).outages,
    spans: record.spans(station, startMs, endMs).map(span => wireSpan(record, span)),
    lasting: toldSpans(record, station)
      .filter(({ toMs }) => toMs === null)
      .map(span => wireSpan(record, span)),
    marks: record
      .marks(station, 0)
      .filter(({ at, takenBackAt }) => takenBackAt === null && within(at))
      .map(({ letter, at, spot, meanW, note }) => ({
        letter,
        at: toInstant(at),
        spot: spot === null ? null : (names.get(spot) ?? null),
        meanW,
        note,
      })),
    notes: record.notes(station, date, date).map(wireNote),
  };
}

/** Two parts of one date, recorded under two zones. */
const joined = (a: DayTotals, b: DayTotals): DayTotals => ({ ...addDays({ station: '', ...a }, b), zone: b.zone });

export const wireNote = ({ id, date, at, text, writtenAt }: Note): LedgerDayAnswer['notes'][number] => ({
  id,
  date,
  at: at === null ? null : toInstant(at),
  text,
  writtenAt: toInstant(writtenAt),
});

export function wireSpan(record: DayRecord, span: Span): LedgerDayAnswer['spans'][number] {
  const { reason, fromMs, toMs, note } = span;
  return {
    reason,
    fromAt: toInstant(fromMs),
    toAt: toMs === null ? null : toInstant(toMs),
    note,
    ...(reason === 'lent' ? levelsAround(record, span) : { beforePct: null, afterPct: null }),
  };
}

/** The nearest dates that are recorded, or were noted. */
function neighbours(record: DayRecord, station: string, date: string) {
  const dates = [
    ...record
      .days(station, FIRST_DATE, LAST_DATE)
      .filter(holdsReadings)
      .map(day => day.date),
    ...record.notes(station, FIRST_DATE, LAST_DATE).map(note => note.date),
  ].sort();
  return {
    previous: dates.findLast(other => other < date) ?? null,
    next: dates.find(other => other > date) ?? null,
  };
}

/** Nights without a place, and the course without the panels' planes, are null. */
function skyOf(
  record: DayRecord,
  station: string,
  startMs: number,
  endMs: number,
): Pick<LedgerDayAnswer, 'nights' | 'clearSky'> {
  const facts = record.facts(station);
  const carried = planesFrom(facts);
  const allDay = isGivenThrough(carried, startMs, endMs) ? spotPlaneOf(carried, startMs) : null;
  const { place, panels } = factsAt(facts, (startMs + endMs) / 2, allDay);
  const nights = place === null ? null : nightsIn(startMs, endMs, place).map(wireNight);
  if (place === null || panels === null) return { nights, clearSky: null };
  const powerW = clearSkyCourse(startMs, endMs, COURSE_STEP_MS, place, panels, at => spotPlaneOf(carried, at));
  return { nights, clearSky: { stepMs: COURSE_STEP_MS, powerW: powerW.map(watts => Math.round(watts * 10) / 10) } };
}

const orNull = (at: number | null): string | null => (at === null ? null : toInstant(at));
const wireNight = ({ fromMs, toMs, sunsetAt, sunriseAt }: Night) => ({
  fromAt: toInstant(fromMs),
  toAt: toInstant(toMs),
  sunsetAt: orNull(sunsetAt),
  sunriseAt: orNull(sunriseAt),
});
