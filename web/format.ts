/**
 * Numbers and moments as text, by Intl. A thin no-break space groups thousands, a no-break space stands before a unit;
 * minus is the real minus; what is missing is a dash. Moments are told in the station's zone.
 */
import { civilDate, shiftDate, zoneOffsetMs } from '#energy/civil-day';

/** Narrow no-break space, between thousands. */
export const THIN = '\u202f';
/** No-break space, before a unit. */
export const GAP = '\u00a0';
export const MINUS = '\u2212';
export const MISSING = '–';
const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;

/** A number and its unit apart, so that the unit can be set smaller. */
export interface Figure {
  text: string;
  unit: string;
}

export interface Formats {
  number(value: number, decimals: number): string;
  /** W below 1 000, then kW with three digits. */
  power(watts: number | null): Figure;
  /** Wh below 10 000, then kWh. */
  energy(wattHours: number | null): Figure;
  percent(value: number | null): Figure;
  temperature(celsius: number | null): Figure;
}

export const asText = (figure: Figure): string =>
  figure.unit === '' ? figure.text : `${figure.text}${GAP}${figure.unit}`;

/** Kept by what they were made for: views ask with every reading, and Intl's formats are dear to make. */
function keeping<A extends readonly unknown[], T>(make: (...of: A) => T): (...of: A) => T {
  const kept = new Map<string, T>();
  return (...of) => {
    const key = of.join();
    if (!kept.has(key)) kept.set(key, make(...of));
    return kept.get(key)!;
  };
}

/** @param locale of the reader, for the decimal sign */
export const formatsFor = keeping((locale: string | undefined, temperature: 'C' | 'F'): Formats => {
  const kept = new Map<number, Intl.NumberFormat>();
  const number = (value: number, decimals: number): string => {
    let format = kept.get(decimals);
    if (format === undefined) {
      format = new Intl.NumberFormat(locale, {
        minimumFractionDigits: decimals,
        maximumFractionDigits: decimals,
        useGrouping: 'always' as unknown as boolean,
      });
      kept.set(decimals, format);
    }
    return format
      .formatToParts(Object.is(value, -0) || Math.abs(value) < 0.5 * 10 ** -decimals ? 0 : value)
      .map(({ type, value: part }) => (type === 'group' ? THIN : type === 'minusSign' ? MINUS : part))
      .join('');
  };
  const scaled = (value: number | null, unit: string, kiloFrom: number, kiloDecimals: (kilo: number) => number) => {
    if (value === null) return { text: MISSING, unit: '' };
    if (Math.abs(Math.round(value)) < kiloFrom) return { text: number(value, 0), unit };
    return { text: number(value / 1000, kiloDecimals(Math.abs(value) / 1000)), unit: `k${unit}` };
  };
  return {
    number,
    power: watts => scaled(watts, 'W', 1_000, kilo => (kilo < 9.995 ? 2 : 1)),
    energy: wattHours => scaled(wattHours, 'Wh', 10_000, kilo => (kilo < 999.95 ? 1 : 0)),
    percent: value => (value === null ? { text: MISSING, unit: '' } : { text: number(value, 0), unit: '%' }),
    temperature: celsius => {
      if (celsius === null) return { text: MISSING, unit: '' };
      return temperature === 'F'
        ? { text: number(celsius * 1.8 + 32, 0), unit: '°F' }
        : { text: number(celsius, 0), unit: '°C' };
    },
  };
});

/** Age or span in plain words: `0.4 s`, `12 s`, `4 min`, `3 h 20 min`, `2 days`. */
export function spanText(ms: number, decimal: (value: number) => string = value => value.toFixed(1)): string {
  const seconds = Math.max(0, ms) / 1000;
  if (seconds < 9.95) return `${decimal(seconds)}${GAP}s`;
  if (seconds < 89.5) return `${Math.round(seconds)}${GAP}s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 90) return `${minutes}${GAP}min`;
  const hours = Math.floor(minutes / 60);
  if (minutes < 48 * 60) return minutes % 60 === 0 ? `${hours}${GAP}h` : `${hours}${GAP}h ${minutes % 60}${GAP}min`;
  return `${Math.round(minutes / 1440)} days`;
}

export interface Times {
  readonly zone: string;
  /** `03:10` or `3:10 am`; with the offset where that civil time comes twice. */
  time(at: number): string;
  /** Hour on an axis: `03` or `3 am`. */
  hour(at: number): string;
  /** Civil date `YYYY-MM-DD`. */
  date(at: number): string;
  /** `4 November`, with the year where it is not this one. */
  dayMonth(date: string, thisDate: string): string;
  weekday(date: string): string;
  month(date: string): string;
  /**
   * `03:10`, with `tomorrow`, `yesterday`, a weekday or a date before it where the time alone would not do. Within
   * 14 h ahead or 10 h behind it does.
   */
  moment(at: number, nowAt: number, always?: boolean): string;
}

/** @param hours '12', '24', or 'system' for the reader's locale */
export const timesFor = keeping((locale: string | undefined, zone: string, hours: '24' | '12' | 'system'): Times => {
  const twelve =
    hours === 'system'
      ? new Intl.DateTimeFormat(locale, { hour: 'numeric' }).resolvedOptions().hour12 === true
      : hours === '12';
  const clock = (at: number, minutes: boolean): string => {
    const local = new Date(at + zoneOffsetMs(at, zone));
    const h = local.getUTCHours();
    const m = String(local.getUTCMinutes()).padStart(2, '0');
    if (!twelve) return minutes ? `${String(h).padStart(2, '0')}:${m}` : String(h).padStart(2, '0');
    const half = `${GAP}${h < 12 ? 'am' : 'pm'}`;
    return `${h % 12 === 0 ? 12 : h % 12}${minutes ? `:${m}` : ''}${half}`;
  };
  const words = (options: Intl.DateTimeFormatOptions) => {
    const format = new Intl.DateTimeFormat('en-GB', { ...options, timeZone: 'UTC' });
    return (date: string) => format.format(Date.parse(`${date}T12:00:00Z`));
  };
  const weekday = words({ weekday: 'long' });
  const dayMonth = words({ day: 'numeric', month: 'long' });
  const dayMonthYear = words({ day: 'numeric', month: 'long', year: 'numeric' });
  const date = (at: number) => civilDate(at, zone);
  const time = (at: number) =>
    comesTwice(at, zone) ? `${clock(at, true)} (${offsetText(at, zone)})` : clock(at, true);
  const dayOf = (at: number, nowAt: number): string => {
    const [day, today] = [date(at), date(nowAt)];
    if (day === today) return 'today';
    if (day === shiftDate(today, 1)) return 'tomorrow';
    if (day === shiftDate(today, -1)) return 'yesterday';
    const near = day > today ? day < shiftDate(today, 7) : day > shiftDate(today, -7);
    return near ? weekday(day) : day.slice(0, 4) === today.slice(0, 4) ? dayMonth(day) : dayMonthYear(day);
  };
  return {
    zone,
    time,
    hour: at => clock(at, false),
    date,
    dayMonth: (day, today) => (day.slice(0, 4) === today.slice(0, 4) ? dayMonth(day) : dayMonthYear(day)),
    weekday,
    month: words({ month: 'long', year: 'numeric' }),
    moment(at, nowAt, always = false) {
      const ahead = at - nowAt;
      if (date(at) === date(nowAt) && !always) return time(at);
      if (!always && ahead <= 14 * HOUR_MS && ahead >= -10 * HOUR_MS) return time(at);
      return `${dayOf(at, nowAt)} ${time(at)}`;
    },
  };
});

/** True where the clocks went back: the same civil time names two instants. */
function comesTwice(at: number, zone: string): boolean {
  const civil = at + zoneOffsetMs(at, zone);
  return [-HOUR_MS, HOUR_MS, -HOUR_MS / 2, HOUR_MS / 2].some(
    shift => at + shift + zoneOffsetMs(at + shift, zone) === civil,
  );
}

/** `UTC+1`, `UTC+5:30`, `UTC`. */
export function offsetText(at: number, zone: string): string {
  const minutes = Math.round(zoneOffsetMs(at, zone) / MINUTE_MS);
  if (minutes === 0) return 'UTC';
  const sign = minutes < 0 ? MINUS : '+';
  const rest = Math.abs(minutes) % 60;
  return `UTC${sign}${Math.floor(Math.abs(minutes) / 60)}${rest === 0 ? '' : `:${String(rest).padStart(2, '0')}`}`;
}

/** Step to which projected moments are rounded: a wide range does not deserve minutes. */
export function roundingStepMs(rangeMs: number): number {
  const hours = Math.abs(rangeMs) / HOUR_MS;
  return (hours < 2 ? 5 : hours < 6 ? 10 : hours < 10 ? 15 : 30) * MINUTE_MS;
}

/** Rounds in civil time, so that a zone of half-hour offset still gives round times. */
export function roundMoment(at: number, stepMs: number, way: 'down' | 'near' | 'up', zone: string): number {
  const offset = zoneOffsetMs(at, zone);
  const rounded = { down: Math.floor, near: Math.round, up: Math.ceil }[way]((at + offset) / stepMs) * stepMs;
  return rounded - offset;
}

/** `this morning`, `this afternoon`, `this evening`, `tonight`: the hours that use is taken to go on like. */
export function partOfDay(at: number, zone: string): string {
  const hour = new Date(at + zoneOffsetMs(at, zone)).getUTCHours();
  if (hour < 5 || hour >= 22) return 'tonight';
  return hour < 12 ? 'this morning' : hour < 17 ? 'this afternoon' : 'this evening';
}
