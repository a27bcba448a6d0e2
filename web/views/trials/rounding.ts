/**
 * A figure with its range as it may be told: never more digits than the range allows. The half range keeps one digit, two
 * where it begins with a 1 and one digit would change it by more than a twentieth (JCGM 100:2008, 7.2.6: at most two; from
 * memory). It is rounded up rather than down by more than that.
 */
import { type Formats, GAP, spanText } from '../../format.ts';
import * as words from '../../words/trials-result.ts';

export interface Ranged {
  readonly value: number;
  readonly low95: number;
  readonly high95: number;
}

export interface Told {
  /** Number and unit. */
  readonly text: string;
  /** “give or take 2”, or “from 17 to 26” where the two sides differ. */
  readonly give: string;
  readonly low: string;
  readonly high: string;
  readonly unit: string;
}

/** Sides are told apart once one is longer by this. */
const LOPSIDED = 1.3;
const KILO_FROM = 10_000;
const SHRINK = 0.05;

/** Half range with the digits it deserves, and the place of the last one: 1 for tens, 0 for units, -1 for tenths. */
export function roundedHalf(half: number): { half: number; place: number } {
  const first = Math.floor(Math.log10(half) + 1e-9);
  const to = (place: number, round: (x: number) => number) => round(half / 10 ** place) * 10 ** place;
  const near = to(first, Math.round);
  const fits = Math.abs(near - half) <= half * SHRINK;
  if (!fits && half < 2 * 10 ** first) return { half: to(first - 1, Math.round), place: first - 1 };
  const rounded = !fits && near < half ? to(first, Math.ceil) : near;
  // Nine and a half become ten: one digit at the place before.
  return { half: rounded, place: rounded > 9.5 * 10 ** first ? first + 1 : first };
}

/** Unit as shown, and by what the value is multiplied for it. */
export function shownUnit(unit: string, value: number): { unit: string; by: number } {
  if (unit === 'Wh' && Math.abs(value) >= KILO_FROM) return { unit: 'kWh', by: 1e-3 };
  if (unit === 'W/W') return { unit: '%', by: 100 };
  if (unit === '1/kW') return { unit: `%${GAP}a${GAP}kW`, by: 100 };
  return { unit: words.UNITS[unit as 'Wh/%'] ?? unit, by: 1 };
}

/** Three digits of what is known without a range. */
const exactPlace = (value: number): number => Math.min(0, Math.floor(Math.log10(Math.abs(value) || 1)) - 2);

/** Times of a trial are told to the minute, however well they are known: readings of seconds make no clock of it. */
function toldTime({ value, low95, high95 }: Ranged): Told {
  const text = (minutes: number) =>
    minutes < 89.5 ? `${Math.round(minutes)}${GAP}min` : spanText(Math.round(minutes) * 60_000);
  const half = Math.max(value - low95, high95 - value);
  return {
    text: text(value),
    give: half < 1 ? words.TO_THE_MINUTE : words.giveOrTake(text(roundedHalf(half).half)),
    low: text(low95),
    high: text(high95),
    unit: '',
  };
}

/** @param unit as the contract writes it */
export function told(range: Ranged, unit: string, formats: Formats, signed = false): Told {
  if (unit === 'min') return toldTime(range);
  if (unit === 'h') return toldTime({ value: 60 * range.value, low95: 60 * range.low95, high95: 60 * range.high95 });
  const shown = shownUnit(unit, range.value);
  const [value, low, high] = [range.value, range.low95, range.high95].map(x => x * shown.by) as [
    number,
    number,
    number,
  ];
  const sides = [Math.max(0, value - low), Math.max(0, high - value)] as const;
  const wider = Math.max(...sides);
  const { half, place } = wider > 0 ? roundedHalf(wider) : { half: 0, place: exactPlace(value) };
  const step = 10 ** place;
  const number = (x: number) => formats.number(Math.round(x / step) * step, Math.max(0, -place));
  const withUnit = (text: string) => (shown.unit === '' ? text : `${text}${GAP}${shown.unit}`);
  const lopsided = Math.min(...sides) * LOPSIDED < wider;
  const plus = signed && Math.round(value / step) > 0 ? '+' : '';
  return {
    text: withUnit(plus + number(value)),
    give:
      wider === 0
        ? words.EXACT
        : lopsided
          ? words.fromTo(number(low), number(high))
          : words.giveOrTake(formats.number(half, Math.max(0, -place))),
    low: withUnit(number(low)),
    high: withUnit(number(high)),
    unit: shown.unit,
  };
}
