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

/** A finite number written with a decimal point, or null. */
export function fromNumberCell(cell: string): number | null {
  if (!NUMBER.test(cell)) return null;
  const value = Number(cell);
  return Number.isFinite(value) ? value : null;
}
