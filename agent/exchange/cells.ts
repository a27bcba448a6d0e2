/**
 * One cell of a CSV file (RFC 4180). A text cell that a spreadsheet would take for a formula gets an apostrophe in
 * front; so does one that begins with an apostrophe, so that reading takes off exactly what writing put on.
 */

const FORMULA_START = /^[=+\-@\t\r']/;
const NEEDS_QUOTES = /[",\r\n]/;

export const CRLF = '\r\n';

const quoted = (text: string): string => (NEEDS_QUOTES.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** Words of the owner or of a station: never trusted to a spreadsheet. */
export const textCell = (text: string): string => quoted(FORMULA_START.test(text) ? `'${text}` : text);

export const fromTextCell = (cell: string): string => (cell.startsWith("'") ? cell.slice(1) : cell);

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
