/**
 * What Plan asks of the record: how much of a cloudless day the panels gave on each day while nothing held them back, the
 * last weeks hour by hour, and the most that came from a wall. Long to read, so it is made in steps that others may come
 * between. Powers W; the civil week begins on Monday.
 */
import { zoneOffsetMs } from '#energy/civil-day';
import { quantile } from '#energy/estimates/plan/lasting';
import { onPlane, panelPowerW, UNKNOWN_AIR } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import type { DayTotals, Fact, PlanAnswer, RecordQueries } from '#messages';
import { isGivenThrough, type PlaneFrom, planesFrom, spotPlaneOf } from '../derive/standing.ts';
import { factsAt } from './ledger-facts.ts';

type Past = Pick<PlanAnswer, 'days' | 'weeks'>;
type Questions = Pick<RecordQueries, 'days' | 'facts' | 'series'>;

export interface PlanPast extends Past {
  /** null where nothing came from a wall. */
  wallSeenW: number | null;
  /** Greatest load of an hour, but for one hour in twenty; null without a record. */
  usualMostW: number | null;
}

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const QUARTER_MS = 15 * MINUTE_MS;
const WEEK_H = 168;
/** A year and a month, so that each month of the year was there once. */
const LOOK_BACK_DAYS = 395;
const WEEKS = 8;
/** Hours of a week below which it tells too little of how it goes. */
const LEAST_WEEK_H = 84;
/** Share of a cloudless day that must have been seen with nothing holding the panels back. */
const LEAST_SEEN = 0.3;
const LEAST_CLEAR_WH = 1;
/** Held back: this near the ceiling, or the ports' limit. */
const FULL_WITHIN_PCT = 0.5;
const AT_LIMIT = 0.98;
const LEAST_CHARGER_W = 20;
const OFTEN = 0.95;
/** The first day of 1970 was a Thursday. */
const HOURS_FROM_MONDAY = 72;
const DAYS_A_STEP = 7;

/** The answer as JSON, after a null for each while of work. Throws WattkeepError at any step. */
export function* planPastPieces(
  record: Questions,
  { station, zone }: { station: string; zone: string },
  nowMs: number,
): Generator<Uint8Array | null> {
  yield Buffer.from(JSON.stringify(yield* planPast(record, station, zone, nowMs)));
}

/** null after each while of work. */
export function* planPast(
  record: Questions,
  station: string,
  zone: string,
  nowMs: number,
): Generator<null, PlanPast, undefined> {
  const facts = record.facts(station);
  const carried = planesFrom(facts);
  const from = new Date(nowMs - LOOK_BACK_DAYS * DAY_MS).toISOString().slice(0, 10);
  const recorded = record.days(station, from, '9999-12-31').filter(day => day.endMs <= nowMs && day.solarMilliJ > 0);
  const days: Past['days'] = [];
  for (const [i, day] of recorded.entries()) {
    const clearness = clearnessOf(record, station, facts, carried, day);
    if (clearness !== null) days.push({ date: day.date, clearness });
    if (i % DAYS_A_STEP === 0) yield null;
  }
  const weeks: Past['weeks'] = [];
  const [chargerW, loadW]: [number[], number[]] = [[], []];
  for (let k = WEEKS; k > 0; k--) {
    const week = weekOf(record, station, zone, nowMs - k * 7 * DAY_MS, chargerW);
    if (week !== null) {
      weeks.push(week);
      loadW.push(...week.loadW.filter(w => w !== null));
    }
    yield null;
  }
  const often = (values: number[]) =>
    values.length === 0
      ? null
      : quantile(
          values.sort((a, b) => a - b),
          OFTEN,
        );
  return { days, weeks, wallSeenW: often(chargerW), usualMostW: often(loadW) };
}

function clearnessOf(
  record: Questions,
  station: string,
  facts: readonly Fact[],
  carried: readonly PlaneFrom[],
  day: DayTotals,
): number | null {
  const allDay = isGivenThrough(carried, day.startMs, day.endMs) ? spotPlaneOf(carried, day.startMs) : null;
  const { panels, place, ceilingPct, portsMaxW } = factsAt(facts, (day.startMs + day.endMs) / 2, allDay);
  if (panels === null || place === null) return null;
  const { columns, startMs, stepMs, count } = record.series({
    station,
    quantities: ['solarPowerW', 'stateOfChargePct'],
    fromMs: day.startMs,
    toMs: day.endMs,
    points: Math.ceil((day.endMs - day.startMs) / QUARTER_MS) + 1,
  });
  const skyAt = clearSkyOver(place);
  let [wholeWh, seenWh, gaveWh] = [0, 0, 0];
  for (let i = 0; i < count; i++) {
    const at = startMs + (i + 0.5) * stepMs;
    const sky = skyAt(at);
    const spot = spotPlaneOf(carried, at);
    const clearW = panels.reduce((sum, p) => sum + panelPowerW(onPlane(sky, spot ?? p.plane), UNKNOWN_AIR, p), 0);
    wholeWh += (clearW * stepMs) / HOUR_MS;
    const solarW = columns.solarPowerW?.mean[i] ?? null;
    const held =
      (columns.stateOfChargePct?.mean[i] ?? 0) >= ceilingPct - FULL_WITHIN_PCT ||
      (portsMaxW !== null && (solarW ?? 0) >= AT_LIMIT * portsMaxW);
    if (solarW === null || held) continue;
    seenWh += (clearW * stepMs) / HOUR_MS;
    gaveWh += (solarW * stepMs) / HOUR_MS;
  }
  return wholeWh < LEAST_CLEAR_WH || seenWh < LEAST_SEEN * wholeWh ? null : gaveWh / seenWh;
}

/** Seven days from an instant on, put in the order of the civil week; null where too little of it was recorded. */
function weekOf(
  record: Questions,
  station: string,
  zone: string,
  fromMs: number,
  chargerW: number[],
): Past['weeks'][number] | null {
  const { columns, startMs, stepMs, count } = record.series({
    station,
    quantities: ['outputPowerW', 'solarPowerW', 'inputPowerW', 'chargerPowerW'],
    fromMs: Math.floor(fromMs / HOUR_MS) * HOUR_MS,
    toMs: Math.floor(fromMs / HOUR_MS) * HOUR_MS + WEEK_H * HOUR_MS,
    points: WEEK_H + 1,
  });
  const week = {
    loadW: new Array<number | null>(WEEK_H).fill(null),
    sunW: new Array<number | null>(WEEK_H).fill(null),
  };
  let seen = 0;
  for (let i = 0; i < count; i++) {
    const at = startMs + i * stepMs;
    const charger = columns.chargerPowerW?.mean[i] ?? null;
    if (charger !== null && charger >= LEAST_CHARGER_W) chargerW.push(columns.chargerPowerW?.max[i] ?? charger);
    const loadW = columns.outputPowerW?.mean[i] ?? null;
    if (loadW === null) continue;
    const hour = Math.floor((at + zoneOffsetMs(at, zone)) / HOUR_MS) + HOURS_FROM_MONDAY;
    week.loadW[((hour % WEEK_H) + WEEK_H) % WEEK_H] = loadW;
    week.sunW[((hour % WEEK_H) + WEEK_H) % WEEK_H] = columns.solarPowerW?.mean[i] ?? 0;
    seen++;
  }
  return seen < LEAST_WEEK_H ? null : week;
}
