/**
 * Civil days of an IANA zone. A day is the stretch of instants that carries one civil date there: 23 or 25 hours where
 * the clocks change, 24 else. The zone's rules come from the time zone database inside Intl, or were learned before.
 */
import { offsetByRules, type ZoneRules } from './zone-rules.ts';

const HOUR_MS = 3_600_000;
const formatters = new Map<string, Intl.DateTimeFormat>();
const learned = new Map<string, ZoneRules>();

/** From now on the zone is not looked up in Intl for instants that the rules cover. */
export const learnZone = (zone: string, rules: ZoneRules): void => void learned.set(zone, rules);

function formatterOf(zone: string): Intl.DateTimeFormat {
  let formatter = formatters.get(zone);
  if (formatter === undefined) {
    formatter = new Intl.DateTimeFormat('en-CA-u-ca-gregory-nu-latn', {
      timeZone: zone,
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
      hourCycle: 'h23',
    });
    formatters.set(zone, formatter);
  }
  return formatter;
}

/** Local minus universal time at an instant, ms; east positive. */
export function zoneOffsetMs(atMs: number, zone: string): number {
  const rules = learned.get(zone);
  const known = rules === undefined ? null : offsetByRules(rules, atMs);
  if (known !== null) return known;
  const part: Record<string, number> = {};
  for (const { type, value } of formatterOf(zone).formatToParts(atMs)) part[type] = Number(value);
  const asUtc = Date.UTC(part.year!, part.month! - 1, part.day!, part.hour!, part.minute!, part.second!);
  return asUtc - Math.floor(atMs / 1000) * 1000;
}

/** Civil date `YYYY-MM-DD` at an instant. */
export const civilDate = (atMs: number, zone: string): string =>
  new Date(atMs + zoneOffsetMs(atMs, zone)).toISOString().slice(0, 10);

/** The civil date `days` later (earlier where negative); plain calendar, no zone. */
export const shiftDate = (date: string, days: number): string =>
  new Date(Date.parse(`${date}T00:00:00Z`) + days * 24 * HOUR_MS).toISOString().slice(0, 10);

/** Furthest that zones reach, from −12 h to +14 h, and an hour more. */
const REACH_MS = 15 * HOUR_MS;

/**
 * First instant that carries `date` or a later one: midnight, or what stands in for it where midnight is skipped. Days are
 * walked over by the thousand, and asking Intl is dear: only where clocks change around it is the instant sought.
 */
export function startOfDate(date: string, zone: string): number {
  const nominal = Date.parse(`${date}T00:00:00Z`);
  let lo = nominal - REACH_MS;
  let hi = nominal + REACH_MS;
  const offsetMs = zoneOffsetMs(lo, zone);
  if (zoneOffsetMs(hi, zone) === offsetMs) return nominal - offsetMs;
  while (hi - lo > 1) {
    const mid = Math.floor((lo + hi) / 2);
    if (civilDate(mid, zone) < date) lo = mid;
    else hi = mid;
  }
  return hi;
}

export interface CivilDay {
  date: string;
  zone: string;
  startMs: number;
  /** First instant of the next day. */
  endMs: number;
}

/** The civil day that holds an instant. */
export function civilDayOf(atMs: number, zone: string): CivilDay {
  const date = civilDate(atMs, zone);
  return { date, zone, startMs: startOfDate(date, zone), endMs: startOfDate(shiftDate(date, 1), zone) };
}
