/** Numbers of a report: no more digits than the range is good for, narrow spaces between thousands at which no line breaks, a true minus. */
import { text } from './escape.ts';
import { TO_THE_MINUTE } from './words.ts';

/** Smaller and lighter than its number. */
export const unit = (of: string): string => ` <u>${text(of)}</u>`;

const THIN = '\u202f';
const GAP = '\u00a0';

/** Places after the point so that the half width has two digits that count; at most three. */
export function placesFor(half: number, value: number): number {
  const size = half > 0 ? half : Math.abs(value) / 100;
  if (!(size > 0)) return 0;
  return Math.max(0, Math.min(3, 1 - Math.floor(Math.log10(size))));
}

export function number(value: number, places: number): string {
  const [whole, rest] = Math.abs(value).toFixed(places).split('.') as [string, string?];
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, THIN);
  const sign = value < 0 && Number(Math.abs(value).toFixed(places)) !== 0 ? '−' : '';
  return `${sign}${grouped}${rest === undefined ? '' : `.${rest}`}`;
}

/** Hours and minutes. */
function time(minutes: number): string {
  const whole = Math.round(minutes);
  const [hours, rest] = [Math.floor(whole / 60), whole % 60];
  return whole < 90 ? `${whole}${GAP}min` : `${hours}${GAP}h${rest === 0 ? '' : `${GAP}${rest}${GAP}min`}`;
}

/** Shares of a load are told in percent. */
export const shownUnit = (of: string): { unit: string; by: number } =>
  of === 'W/W' ? { unit: '%', by: 100 } : of === '1/kW' ? { unit: '% a kW', by: 100 } : { unit: of, by: 1 };

/** A figure with its unit; times to the minute, however well they are known. @param sign how the unit is written */
export function toldWith(of: Ranged, unitName: string, sign = (name: string) => ` ${name}`): string {
  if (unitName === 'h')
    return toldWith({ value: 60 * of.value, low95: 60 * of.low95, high95: 60 * of.high95 }, 'min', sign);
  const { by, unit: shown } = shownUnit(unitName);
  if (unitName !== 'min')
    return withRange({ value: of.value * by, low95: of.low95 * by, high95: of.high95 * by }) + sign(shown);
  const [low, high] = [time(of.low95), time(of.high95)];
  return `${time(of.value)} (${of.high95 - of.low95 < 2 || low === high ? TO_THE_MINUTE : `${low} to ${high}`})`;
}

export interface Ranged {
  readonly value: number;
  readonly low95: number;
  readonly high95: number;
}

/** `1 043 (1 021 to 1 065)`. */
export function withRange(of: Ranged): string {
  const places = placesFor((of.high95 - of.low95) / 2, of.value);
  if (of.high95 === of.low95) return number(of.value, Math.min(places, 2));
  const shown = Math.max(0, places - 1);
  return `${number(of.value, shown)} (${number(of.low95, shown)} to ${number(of.high95, shown)})`;
}
