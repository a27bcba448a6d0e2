/**
 * From a query string to checked values. Every parameter is named, known and given once (quantity apart); what is
 * wrong is said with the limit, so that a script's author can mend it without reading this.
 */
import { isQuantityKey, type QuantityKey } from '#kit';
import { RequestFailure } from './failure.ts';

export const MAX_POINTS = 5_000;
const DEFAULT_POINTS = 600;
const MAX_QUANTITIES = 16;
/** ISO 8601 with offset; a bare time would mean something else on every machine. */
const INSTANT = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,9})?)?(Z|[+-]\d{2}:\d{2})$/;
/** `Date` holds ± 8.64e15 ms. */
const EPOCH_MS = /^-?\d{1,15}$/;

const invalid = (message: string, fix: string) => new RequestFailure(400, message, fix);

/** Refuses a parameter that the route does not know, or one given twice. */
export function checkQueryNames(query: URLSearchParams, known: readonly string[]): void {
  for (const name of new Set(query.keys())) {
    if (!known.includes(name)) {
      const fix = known.length === 0 ? 'This path takes no parameters.' : `This path takes ${known.join(', ')}.`;
      throw invalid(`The parameter ${JSON.stringify(name.slice(0, 40))} is not known here.`, fix);
    }
    if (name !== 'quantity' && query.getAll(name).length > 1) {
      throw invalid(`The parameter ${name} is given more than once.`, 'Give it once.');
    }
  }
}

/** Epoch ms of an instant parameter, or `fallback` where it is absent (undefined: it is required). */
export function instantFrom(query: URLSearchParams, name: string, fallback?: number): number {
  // In a query string a plus sign that was not escaped arrives as a space: +01:00 means what it says.
  const text = query.get(name)?.replace(/ (?=\d{2}:\d{2}$)/, '+');
  if (text === undefined) {
    if (fallback !== undefined) return fallback;
    throw invalid(`The parameter ${name} is missing.`, `Give ${name} as ISO 8601 with offset or as epoch ms.`);
  }
  const epochMs = EPOCH_MS.test(text) ? Number(text) : INSTANT.test(text) ? Date.parse(text) : Number.NaN;
  if (Number.isNaN(epochMs)) {
    throw invalid(
      `The parameter ${name} is not an instant.`,
      'Write 2026-06-21T12:00:00Z, 2026-06-21T14:00:00+02:00 or 1782043200000.',
    );
  }
  return epochMs;
}

/** A civil date `YYYY-MM-DD`, or `fallback` where it is absent (undefined: it is required). */
export function dateFrom(query: URLSearchParams, name: string, fallback?: string): string {
  const text = query.get(name) ?? (fallback === undefined ? '' : null);
  if (text === null) return fallback!;
  const midnight = /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(`${text}T00:00:00Z`) : Number.NaN;
  // Date.parse takes 2026-02-30 for 2 March: only a date that comes back as itself exists.
  if (Number.isNaN(midnight) || new Date(midnight).toISOString().slice(0, 10) !== text) {
    throw invalid(`The parameter ${name} is not a date.`, 'Write it as 2026-06-21.');
  }
  return text;
}

/** The quantities asked for: repeated, or with commas. At least one. */
export function quantitiesFrom(query: URLSearchParams): QuantityKey[] {
  const names = [...new Set(query.getAll('quantity').flatMap(text => text.split(',')))];
  const keys = names.filter(isQuantityKey);
  const unknown = names.find(name => !isQuantityKey(name));
  if (unknown !== undefined) {
    throw invalid(`The quantity ${JSON.stringify(unknown.slice(0, 40))} is not known.`, 'Ask for one a station gives.');
  }
  if (keys.length === 0 || keys.length > MAX_QUANTITIES) {
    throw invalid(`${keys.length} quantities are asked for.`, `Ask for 1 to ${MAX_QUANTITIES}.`);
  }
  return keys;
}

/** Buckets wanted, 1 to MAX_POINTS. */
export function pointsFrom(query: URLSearchParams): number {
  const text = query.get('points') ?? String(DEFAULT_POINTS);
  const points = /^\d{1,9}$/.test(text) ? Number(text) : Number.NaN;
  if (!(points >= 1 && points <= MAX_POINTS)) {
    throw invalid('The parameter points is out of range.', `Ask for 1 to ${MAX_POINTS} points.`);
  }
  return points;
}

/** Refuses dates in the wrong order; one day alone is a range. */
export function checkDates(from: string, to: string): void {
  if (from > to) throw invalid('The range ends before it starts.', 'Give from before to.');
}

/** Refuses a span of no length. */
export function checkSpan(fromMs: number, toMs: number): void {
  if (fromMs >= toMs) throw invalid('The range ends before it has begun.', 'Give from before to.');
}

/** A number from `least` to `most`; undefined where it is absent. */
export function numberFrom(query: URLSearchParams, name: string, least: number, most: number): number | undefined {
  const text = query.get(name);
  if (text === null) return undefined;
  const number = /^\d{1,9}(\.\d{1,9})?$/.test(text) ? Number(text) : Number.NaN;
  if (number >= least && number <= most) return number;
  throw invalid(`The parameter ${name} is out of range.`, `Give ${least} to ${most}.`);
}
