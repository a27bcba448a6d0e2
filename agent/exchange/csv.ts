/**
 * Rows of CSV text (RFC 4180) out of pieces of any size, with the usual slack: line feeds or carriage returns alone, empty
 * lines. Lines without quotes, as nearly all of a recording are, are cut at their commas at once; that is what reads a
 * year in a minute.
 */
import { WattkeepError } from '#kit';

export interface CsvRow {
  readonly cells: readonly string[];
  /** Of the file, from 1; where the row ends. */
  readonly line: number;
}

const ROW_MAX_CHARS = 64 * 1024;

type RowEnd = '\n' | '\r';

/** What ends the rows of a file, by its first one; null where that has not ended yet. */
function rowEndIn(text: string, isLast: boolean): RowEnd | null {
  let quoted = false;
  for (let place = 0; place < text.length; place++) {
    const char = text[place];
    if (char === '"') quoted = !quoted;
    else if (!quoted && char === '\n') return '\n';
    else if (!quoted && char === '\r') {
      if (place + 1 < text.length || isLast) return text[place + 1] === '\n' ? '\n' : '\r';
    }
  }
  return isLast ? '\n' : null;
}

/** Place of the quote that closes a cell begun before `from`; -1 where there is none. Two in a row are one of the cell. */
function closingQuote(text: string, from: number): number {
  for (let place = text.indexOf('"', from); place >= 0; place = text.indexOf('"', place + 2))
    if (text[place + 1] !== '"') return place;
  return -1;
}

const countOf = (text: string, char: string): number => text.split(char).length - 1;

/** Text is added, and whole rows are taken; `next` says when there is none any more. */
export class CsvReader {
  #text = '';
  #at = 0;
  #lines = 0;
  #rowEnd: RowEnd | null = null;
  /** The next quote at or behind `#at`, or -1. */
  #quoteAt = -1;

  add(text: string): void {
    this.#text = this.#text.slice(this.#at) + text;
    this.#at = 0;
    this.#quoteAt = this.#text.indexOf('"');
  }

  /**
   * @param isLast no more text comes
   * @returns null where what was added holds no further whole row. Throws IMPORT_ROW
   */
  next(isLast: boolean): CsvRow | null {
    this.#rowEnd ??= rowEndIn(this.#text, isLast);
    if (this.#rowEnd === null) return this.#unfinished();
    while (this.#at < this.#text.length) {
      if (this.#quoteAt >= 0 && this.#quoteAt < this.#at) this.#quoteAt = this.#text.indexOf('"', this.#at);
      const found = this.#text.indexOf(this.#rowEnd, this.#at);
      if (this.#quoteAt >= 0 && (found < 0 || this.#quoteAt < found)) return this.#quotedRow(this.#rowEnd, isLast);
      if (found < 0 && !isLast) return this.#unfinished();
      const line = this.#lineTo(found < 0 ? this.#text.length : found);
      if (line !== '') return { cells: line.split(','), line: this.#lines };
    }
    return null;
  }

  /** A line without quotes, without what ends it. */
  #lineTo(end: number): string {
    const line = this.#text.slice(this.#at, end);
    if (line.length > ROW_MAX_CHARS) throw this.#wrong('it is too long');
    this.#at = end + 1;
    this.#lines++;
    return this.#rowEnd === '\n' && line.endsWith('\r') ? line.slice(0, -1) : line;
  }

  #quotedRow(rowEnd: RowEnd, isLast: boolean): CsvRow | null {
    const text = this.#text;
    const cells: string[] = [];
    let at = this.#at;
    let lines = 1;
    for (;;) {
      const cell = text[at] === '"' ? this.#quotedCell(at, isLast) : this.#plainCell(at, rowEnd, isLast);
      if (cell === null) return this.#unfinished();
      cells.push(cell.text);
      lines += countOf(cell.text, rowEnd);
      at = cell.end;
      if (text[at] === ',') {
        at++;
        continue;
      }
      if (rowEnd === '\n' && text[at] === '\r' && (text[at + 1] === '\n' || at + 1 === text.length)) at++;
      if (at < text.length && text[at] !== rowEnd) throw this.#wrong('text follows a closing quote');
      if (at >= text.length && !isLast) return this.#unfinished();
      if (at - this.#at > ROW_MAX_CHARS) throw this.#wrong('it is too long');
      this.#at = at + 1;
      this.#lines += lines;
      return { cells, line: this.#lines };
    }
  }

  /** The cell whose quote is at `at`, and the place behind it; null where more text must come. */
  #quotedCell(at: number, isLast: boolean): { text: string; end: number } | null {
    const close = closingQuote(this.#text, at + 1);
    if (close < 0 && isLast) throw this.#wrong('a quote is not closed');
    // A quote that comes next would make it one of the cell.
    if (close < 0 || (close + 1 === this.#text.length && !isLast)) return null;
    return { text: this.#text.slice(at + 1, close).replaceAll('""', '"'), end: close + 1 };
  }

  #plainCell(at: number, rowEnd: RowEnd, isLast: boolean): { text: string; end: number } | null {
    const [comma, found] = [this.#text.indexOf(',', at), this.#text.indexOf(rowEnd, at)];
    if (comma < 0 && found < 0 && !isLast) return null;
    let end = Math.min(...[comma, found, this.#text.length].filter(place => place >= 0));
    if (end === found && rowEnd === '\n' && end > at && this.#text[end - 1] === '\r') end--;
    const text = this.#text.slice(at, end);
    if (text.includes('"')) throw this.#wrong('a quote stands within a cell that begins with none');
    return { text, end };
  }

  /** No whole row yet. One that is longer than any row may be has a quote that nothing closes. */
  #unfinished(): null {
    if (this.#text.length - this.#at > ROW_MAX_CHARS) throw this.#wrong('it does not end, or a quote is not closed');
    return null;
  }

  #wrong(why: string): WattkeepError {
    return new WattkeepError(
      'IMPORT_ROW',
      `line ${this.#lines + 1}: the row is no CSV (${why})`,
      'Save the file again as CSV with commas; a quote inside a cell is doubled.',
    );
  }
}
