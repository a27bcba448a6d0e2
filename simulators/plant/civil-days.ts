/**
 * Civil days of an IANA zone: which day an instant falls in, when it began and ended (23 and 25 hours included), and
 * the zone's offset for writing times. Asking Intl is slow, so a day is looked up once and offsets once a quarter hour
 * (no zone changes its offset inside one).
 */

export interface CivilDay {
  /** `YYYY-MM-DD`. */
  readonly date: string;
  /** Days since 1970-01-01 by the calendar: an index for draws. */
  readonly number: number;
  readonly startMs: number;
  readonly endMs: number;
}

export interface CivilDays {
  at(ms: number): CivilDay;
  /** Zone's offset from UTC at an instant, ms; positive east. */
  offsetMs(ms: number): number;
}

const DAY_MS = 86_400_000;
const QUARTER_MS = 900_000;

/** Offset of `zone` at `ms`, ms. Throws RangeError where the zone is unknown. */
function offsetReader(zone: string): (ms: number) => number {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  });
  return ms => {
    const [month, day, year, hour, minute, second] = format.format(ms).match(/\d+/g)!.map(Number);
    const local = Date.UTC(year!, month! - 1, day!, hour!, minute!, second!);
    return local - Math.floor(ms / 1000) * 1000;
  };
}

/** Day lookups for one zone. Throws RangeError where the zone is unknown. */
export function civilDays(zone: string): CivilDays {
  const read = offsetReader(zone);
  const offsets = new Map<number, number>();
  const offsetMs = (ms: number): number => {
    const quarter = Math.floor(ms / QUARTER_MS);
    let offset = offsets.get(quarter);
    if (offset === undefined) {
      if (offsets.size > 500) offsets.clear();
      offset = read(quarter * QUARTER_MS);
      offsets.set(quarter, offset);
    }
    return offset;
  };
  /** First instant of a calendar day; where midnight is skipped, the instant the clock jumps. */
  const startOf = (number: number): number => {
    const local = number * DAY_MS;
    let ms = local - offsetMs(local - offsetMs(local));
    if (Math.floor((ms + offsetMs(ms)) / DAY_MS) < number) ms += 3_600_000;
    return ms;
  };
  let last: CivilDay = { date: '', number: 0, startMs: 0, endMs: 0 };
  const at = (ms: number): CivilDay => {
    if (ms >= last.startMs && ms < last.endMs) return last;
    const number = Math.floor((ms + offsetMs(ms)) / DAY_MS);
    const date = new Date(number * DAY_MS).toISOString().slice(0, 10);
    last = { date, number, startMs: startOf(number), endMs: startOf(number + 1) };
    return last;
  };
  return { at, offsetMs };
}

/** `2026-11-25T09:30:00+02:00` */
export function isoWithOffset(ms: number, offsetMs: number): string {
  const minutes = Math.round(Math.abs(offsetMs) / 60_000);
  const two = (n: number) => String(n).padStart(2, '0');
  const sign = offsetMs < 0 ? '-' : '+';
  const local = new Date(ms + offsetMs).toISOString().slice(0, 19);
  return `${local}${sign}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}
