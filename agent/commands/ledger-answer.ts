/**
 * The Ledger's answer over a stretch of days: a pure function of the record, the station's dated facts and now. It touches
 * nothing of a running agent, so that it can be worked out wherever the record can be read. Energies Wh, instants ISO.
 */
import { civilDate, shiftDate, startOfDate } from '#energy/civil-day';
import { CARPET_STEP_MIN } from '#energy/ledger/carpet';
import { type ClearDay, clearDay, energyWh, MINUTE_MS } from '#energy/ledger/clear-day';
import { type Fact, holdsReadings, type LedgerAnswer, type RecordQueries, type Span } from '#messages';
import { isGivenThrough, type PlaneFrom, planesFrom, spotPlaneOf } from '../derive/standing.ts';
import { toInstant } from '../server/encode.ts';
import { type CountedOver, countedOver } from './ledger-counted.ts';
import { type DayAnswer, dayAnswer } from './ledger-day.ts';
import { factsAt, paidFor, tariffAt } from './ledger-facts.ts';
import { AROUND_MS, type LevelDay, levelsOf } from './ledger-levels.ts';
import { limitsOf } from './ledger-limits.ts';
import { minuteReader } from './ledger-minutes.ts';
import { type DayPart, missingDates, partsOf } from './ledger-parts.ts';
import { throughOver } from './ledger-shade.ts';
import { awayMinutes, spansTold } from './ledger-spans.ts';
import { worthBefore } from './ledger-worth.ts';

const AROUND_DAYS = AROUND_MS / 86_400_000;
/** Facts that say nothing to whoever reads the Ledger. */
const INNER_KEYS = ['walk'];

export interface LedgerAsked {
  readonly station: string;
  /** Zone in force now. */
  readonly zone: string;
  /** Civil dates, both included. */
  readonly from: string;
  readonly to: string;
  readonly nowMs: number;
  /** Of a record that holds none, such as an imported one; else the record's own are taken. */
  readonly facts?: readonly Fact[] | undefined;
}

/** What was worked out beside the answer, a row for each of its days. */
export interface LedgerWorked {
  readonly answer: LedgerAnswer;
  readonly days: readonly DayAnswer[];
}

type Record = Pick<
  RecordQueries,
  'means' | 'limits' | 'latest' | 'series' | 'days' | 'facts' | 'spans' | 'extent' | 'counted' | 'bridges'
>;

export const ledgerAnswer = (record: Record, asked: LedgerAsked): LedgerAnswer => ledgerWorked(record, asked).answer;

export function ledgerWorked(record: Record, asked: LedgerAsked): LedgerWorked {
  const { station, zone, nowMs } = asked;
  const facts = asked.facts ?? record.facts(station);
  const today = civilDate(nowMs, zone);
  const money = tariffAt(facts, nowMs);
  const standing = planesFrom(facts);
  const bounds = boundsOf(record, asked, today);
  const counted = bounds === null ? null : countedOver(record, station, bounds);
  const days = bounds === null ? [] : daysOf(record, asked, facts, standing, bounds, counted!);
  const spans = bounds === null ? [] : record.spans(station, bounds.fromMs, bounds.toMs);
  const missing =
    bounds === null
      ? []
      : missingDates(
          days.map(({ day }) => day),
          bounds.from,
          bounds.to,
        );
  const answer: LedgerAnswer = {
    station,
    zone,
    today,
    days: days.map(({ day }) => day),
    missing: missing.map(date => missedOn(date, zone, facts, standing, spans)),
    carpet: { stepMin: CARPET_STEP_MIN, rows: days.map(({ row }) => row) },
    facts: facts
      .filter(({ key }) => !INNER_KEYS.includes(key))
      .map(({ validFromMs, key, valueJson }) => ({ validFromAt: toInstant(validFromMs), key, valueJson })),
    spans: spansTold(record, spans),
    bridges: counted?.bridges ?? [],
    counters: counted?.counters ?? [],
    money: money === null ? null : moneyOf(record, asked, facts, money.currency),
  };
  return { answer, days };
}

const moneyOf = (record: Record, { station, from, nowMs }: LedgerAsked, facts: readonly Fact[], currency: string) => ({
  currency,
  paid: paidFor(facts, nowMs),
  before: worthBefore(record, station, facts, from, currency),
});

interface Bounds {
  from: string;
  to: string;
  fromMs: number;
  toMs: number;
}

/** The dates asked for, as far as the record reaches and today; null where nothing is left. */
function boundsOf(record: Record, { station, zone, from, to }: LedgerAsked, today: string): Bounds | null {
  const extent = record.extent(station);
  if (extent === null) return null;
  const first = firstDateOf(record, station, civilDate(extent.fromMs, zone));
  const [firstDate, lastDate] = [from > first ? from : first, to < today ? to : today];
  if (firstDate > lastDate) return null;
  const fromMs = startOfDate(firstDate, zone);
  return { from: firstDate, to: lastDate, fromMs, toMs: startOfDate(shiftDate(lastDate, 1), zone) };
}

/** The date the record begins with, in the zone that was in force then. @param near the same instant's date in another */
const firstDateOf = (record: Record, station: string, near: string): string =>
  record.days(station, shiftDate(near, -1), shiftDate(near, 1))[0]?.date ?? near;

function daysOf(
  record: Record,
  { station, nowMs, from, to }: LedgerAsked,
  facts: readonly Fact[],
  standing: readonly PlaneFrom[],
  bounds: Bounds,
  counted: CountedOver,
): DayAnswer[] {
  const recorded = record.days(station, shiftDate(bounds.from, -AROUND_DAYS), shiftDate(bounds.to, AROUND_DAYS));
  const around = partsOf(recorded.filter(holdsReadings), facts).map(part => levelDay(part, facts, standing, nowMs));
  const levels = levelsOf(record, station, around);
  const spans = record.spans(station, bounds.fromMs - 2 * 86_400_000, bounds.toMs + 2 * 86_400_000);
  const reader = minuteReader(record, station);
  const limitsOn = limitsOf(record, station);
  const throughOn = throughOver(around, levels, facts, reader, limitsOn);
  const money = tariffAt(facts, nowMs);
  return around.flatMap(({ part, facts: now, clear }, i) => {
    const { totals, startMs, endMs } = part;
    if (totals.date < from || totals.date > to) return [];
    const count = minutesIn(part);
    const tariff = tariffAt(facts, middleOf(part));
    return dayAnswer({
      totals,
      startMs,
      endMs,
      facts: now,
      clear,
      level: levels[i]!,
      minutes: reader.read(startMs, count),
      limits: limitsOn(startMs, clear),
      away: awayMinutes(spans, startMs, count),
      through: throughOn(i),
      // Sums are told in one currency.
      tariff: tariff?.currency === money?.currency ? tariff : null,
      counted: counted.ofDay({ date: totals.date, zone: totals.zone, startMs, endMs }),
      nowMs,
    });
  });
}

const minutesIn = ({ startMs, endMs }: Pick<DayPart, 'startMs' | 'endMs'>): number =>
  Math.max(0, Math.ceil((endMs - startMs) / MINUTE_MS));
const middleOf = ({ startMs, endMs }: Pick<DayPart, 'startMs' | 'endMs'>): number => (startMs + endMs) / 2;

function levelDay(part: DayPart, facts: readonly Fact[], standing: readonly PlaneFrom[], nowMs: number): LevelDay {
  const allDay = isGivenThrough(standing, part.startMs, part.endMs) ? spotPlaneOf(standing, part.startMs) : null;
  const now = factsAt(facts, middleOf(part), allDay);
  const plane = allDay ?? now.panels?.[0]?.plane ?? null;
  return { part, facts: now, clear: clearOf(part, now, standing), plane, over: part.endMs <= nowMs };
}

const clearOf = (
  part: Pick<DayPart, 'startMs' | 'endMs'>,
  { panels, place }: LevelDay['facts'],
  standing: readonly PlaneFrom[],
): ClearDay | null =>
  panels === null || place === null
    ? null
    : clearDay(part.startMs, minutesIn(part), place, panels, at => spotPlaneOf(standing, at));

/** What a cloudless sky would have given on a date without any reading, as the panels were known to stand. */
function missedOn(
  date: string,
  zone: string,
  facts: readonly Fact[],
  standing: readonly PlaneFrom[],
  spans: readonly Span[],
): LedgerAnswer['missing'][number] {
  const day = { startMs: startOfDate(date, zone), endMs: startOfDate(shiftDate(date, 1), zone) };
  const allDay = isGivenThrough(standing, day.startMs, day.endMs) ? spotPlaneOf(standing, day.startMs) : null;
  const clear = clearOf(day, factsAt(facts, middleOf(day), allDay), standing);
  if (clear === null) return { date, clearSkyWh: null, notOutWh: null };
  const away = awayMinutes(spans, day.startMs, clear.powerW.length);
  const milli = (powerW: Float64Array) => Math.round(energyWh(powerW) * 1000) / 1000;
  return { date, clearSkyWh: milli(clear.powerW), notOutWh: milli(clear.powerW.map((watts, m) => watts * away[m]!)) };
}
