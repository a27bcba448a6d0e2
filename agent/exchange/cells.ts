/**
 * One cell of a CSV file (RFC 4180): the one door of all that is written as CSV. Where a spreadsheet would take text for a
 * formula it gets an apostrophe in front (OWASP, CSV injection), also where a program that splits at another separator
 * would begin a cell or a line within it. Reading takes off exactly what writing put on. Numbers are no texts: a negative
 * one stays a number.
 */

/**
 * Before what begins like a formula, or with an apostrophe of its own. Spaces and what is not seen are skipped by some
 * programs; full-width signs count as formulas where they are typed.
 */
const BEFORE_FORMULA = /(?<=^|[;\t\r\n])(?=[\s\p{Cc}\p{Cf}]*[=+\-@\uff1d\uff0b\uff0d\uff20]|'|[\t\r\n])/gu;
const PUT_ON = /(?<=^|[;\t\r\n])'/g;
const NEEDS_QUOTES = /[",;\t\r\n]|^\s|\s$/;

export const CRLF = '\r\n';

const quoted = (text: string): string => (NEEDS_QUOTES.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** Words of the owner or of a station: never trusted to a spreadsheet. */
export const textCell = (text: string): string => quoted(text.replace(BEFORE_FORMULA, "'"));

export const fromTextCell = (cell: string): string => cell.replace(PUT_ON, '');

/** The shortest text that reads back as the same double; empty where missing. */
export const numberCell = (value: number | null | undefined): string =>
  value === null || value === undefined ? '' : String(value === 0 ? 0 : value);

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/;
/** With so many digits a number and its power of ten are both exact, and their quotient is the nearest double. */
const EXACT_DIGITS = 15;
const POWERS = Array.from({ length: EXACT_DIGITS + 1 }, (_, places) => 10 ** places);
const [ZERO, NINE, POINT] = [48, 57, 46];

/** What plain digits with at most one point between them write; null for anything else, which may be a number too. */
function plainNumber(cell: string): number | null {
  if (cell.length === 0 || cell.length > EXACT_DIGITS) return null;
  let whole = 0;
  let pointAt = -1;
  for (let place = 0; place < cell.length; place++) {
    const code = cell.charCodeAt(place);
    if (code >= ZERO && code <= NINE) whole = whole * 10 + (code - ZERO);
    else if (code === POINT && pointAt < 0 && place > 0 && place + 1 < cell.length) pointAt = place;
    else return null;
  }
  return pointAt < 0 ? whole : whole / POWERS[cell.length - 1 - pointAt]!;
}

/** A finite number written with a decimal point, or null. */
export function fromNumberCell(cell: string): number | null {
  const plain = plainNumber(cell);
  if (plain !== null) return plain;
  if (!NUMBER.test(cell)) return null;
  const value = Number(cell);
  return Number.isFinite(value) ? value : null;
}
