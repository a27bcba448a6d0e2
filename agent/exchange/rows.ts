/**
 * Rows of a recording to readings: pure, one row at a time. The header decides what each column is; after that every
 * cell is a number of its quantity, a word, or empty for missing. Errors name line, column and what to do.
 */

import { QUANTITIES, type QuantityKey, quantityRow, WattkeepError } from '#kit';
import { nearestName } from '#kit/nearest';
import type { KeptReading } from '#messages';
import { fromNumberCell, fromTextCell } from './cells.ts';
import { RAN, REQUIRED, SESSION, TIME, WORD_COLUMNS, type WordColumn, wordColumn } from './columns.ts';
import { instantReader } from './instants.ts';

export interface RecordingCounts {
  rows: number;
  /** UTC epoch ms of the first and last row; null before the first. */
  fromMs: number | null;
  toMs: number | null;
  /** Quantity columns in the file's order. */
  quantities: QuantityKey[];
  /** Empty cells of quantities. */
  missing: number;
  /** Numbers outside their quantity's range: kept as missing, with the reason. */
  outOfRange: number;
}

export interface RecordingIdentity {
  station: string;
  /** New to the record: the readings are numbered from 1 in it. A recording of several adds `.2`, `.3`, … to it. */
  session: string;
}

interface QuantityColumn {
  quantity: QuantityKey;
  min: number;
  max: number;
}

/** The session of the rows that are read now. */
interface RunningSession {
  /** As the file tells it, and its place among all. */
  cell: string;
  place: number;
  session: string;
  rows: number;
  /** Both clocks of its last row. */
  at: number;
  monoMs: number;
}

type Column = { time: true } | { session: true } | { ran: true } | QuantityColumn | { word: WordColumn };

const headerError = (message: string, fix: string) => new WattkeepError('IMPORT_HEADER', message, fix);

/** As milliseconds they would lie in the first years of the epoch, which no clock tells. */
const EPOCH_SECONDS = /^\d{9,11}$/;

const shown = (cell: string): string => JSON.stringify(cell.length > 40 ? `${cell.slice(0, 40)}…` : cell);

function columnOf(name: string, line: number): Column {
  if (name === TIME) return { time: true };
  if (name === SESSION) return { session: true };
  if (name === RAN) return { ran: true };
  const row = quantityRow(name);
  if (row !== undefined) return { quantity: name as QuantityKey, min: row.min, max: row.max };
  const word = wordColumn(name);
  if (word !== undefined) return { word };
  const names = [TIME, SESSION, RAN, ...Object.keys(QUANTITIES), ...WORD_COLUMNS.map(column => column.name)];
  const meant = nearestName(name, names);
  const rename = meant === null ? 'Rename it' : `Rename it (did you mean ${meant}?)`;
  throw headerError(`line ${line}: the column ${shown(name)} is not known`, `${rename} or take the column out.`);
}

/** Reads the header. Throws IMPORT_HEADER for an unknown, missing or doubled column. */
function readHeader(header: readonly string[], line: number): Column[] {
  const names = header.map(name => name.trim());
  for (const name of [TIME, ...REQUIRED]) {
    if (names.includes(name)) continue;
    const [whole] = names;
    if (names.length === 1 && whole !== undefined && /[;\t]/.test(whole))
      throw headerError(
        `line ${line}: the cells are parted by ${whole.includes(';') ? 'semicolons' : 'tabs'}`,
        'Save it as CSV with commas between the cells and a decimal point in the numbers.',
      );
    throw headerError(
      `line ${line}: the header has no column ${name}`,
      `Begin the file with a line such as ${[TIME, ...REQUIRED].join(',')}.`,
    );
  }
  const doubled = names.find((name, index) => names.indexOf(name) !== index);
  if (doubled !== undefined) {
    throw headerError(
      `line ${line}: the column ${doubled === '' ? '""' : doubled} is there twice`,
      'Take one of the two out.',
    );
  }
  return names.map(name => columnOf(name, line));
}

/** Makes rows readings, one after the other, and counts. Constructing throws IMPORT_HEADER. */
export class RowReader {
  readonly counts: RecordingCounts;
  readonly #header: readonly string[];
  readonly #columns: readonly Column[];
  readonly #timeIndex: number;
  readonly #sessionIndex: number;
  readonly #ranIndex: number;
  readonly #identity: RecordingIdentity;
  readonly #instantOf = instantReader();
  #session: RunningSession = { cell: '', place: 0, session: '', rows: 0, at: 0, monoMs: 0 };

  /** @param line the header's line in the file */
  constructor(header: readonly string[], line: number, identity: RecordingIdentity) {
    this.#header = header;
    this.#identity = identity;
    this.#columns = readHeader(header, line);
    this.#timeIndex = this.#columns.findIndex(column => 'time' in column);
    this.#sessionIndex = this.#columns.findIndex(column => 'session' in column);
    this.#ranIndex = this.#columns.findIndex(column => 'ran' in column);
    const quantities = this.#columns.flatMap(column => ('quantity' in column ? [column.quantity] : []));
    this.counts = { rows: 0, fromMs: null, toMs: null, quantities, missing: 0, outOfRange: 0 };
  }

  /** Makes one row a reading, given its cells and its line in the file. Throws IMPORT_ROW. */
  read(cells: readonly string[], line: number): KeptReading {
    if (cells.length !== this.#columns.length) {
      throw new WattkeepError(
        'IMPORT_ROW',
        `line ${line}: ${cells.length} cells where the header has ${this.#columns.length} columns`,
        'Give every row as many cells as the header.',
      );
    }
    const at = this.#readTime(cells[this.#timeIndex]!.trim(), line);
    this.counts.fromMs ??= at;
    this.counts.toMs = at;
    this.counts.rows++;
    const ranMs = this.#readRan(cells[this.#ranIndex]?.trim() ?? '', line);
    const { session, rows, monoMs } = this.#readSession(cells[this.#sessionIndex]?.trim() ?? '', at, ranMs, line);
    const reading: KeptReading = {
      station: this.#identity.station,
      session,
      seq: rows,
      monoMs,
      at,
      clock: 'synced',
      quantities: {},
      states: {},
      quality: 'good',
      reasons: {},
    };
    for (let index = 0; index < cells.length; index++) {
      this.#readCell(this.#columns[index]!, index, cells[index]!, line, reading);
    }
    return reading;
  }

  #readTime(cell: string, line: number): number {
    const at = this.#instantOf(cell);
    if (at === null) {
      const fix = 'Write ISO 8601 with an offset, such as 2026-06-03T11:15:00+02:00, or epoch milliseconds.';
      throw this.#error(line, this.#timeIndex, `${shown(cell)} is no instant`, fix);
    }
    if (EPOCH_SECONDS.test(cell)) {
      const fix = 'Write epoch milliseconds: put three zeros behind it.';
      throw this.#error(line, this.#timeIndex, `${shown(cell)} looks like seconds since 1970`, fix);
    }
    if (at < 0)
      throw this.#error(
        line,
        this.#timeIndex,
        `${shown(cell)} lies before 1970`,
        'Put its date right, or take the row out.',
      );
    if (this.counts.toMs !== null && at < this.counts.toMs) {
      throw this.#error(line, this.#timeIndex, `${shown(cell)} lies before the row above`, 'Sort the rows by time.');
    }
    return at;
  }

  /** Milliseconds since the row above; null where its time tells them. */
  #readRan(cell: string, line: number): number | null {
    if (cell === '') return null;
    if (/^\d{1,12}$/.test(cell)) return Number(cell);
    const fix = 'Write the whole milliseconds since the row above, or leave it empty.';
    throw this.#error(line, this.#ranIndex, `${shown(cell)} is no whole number`, fix);
  }

  #readSession(cell: string, at: number, ranMs: number | null, line: number): RunningSession {
    const before = this.#session;
    if (before.place > 0 && before.cell === cell) {
      before.rows++;
      before.monoMs += ranMs ?? at - before.at;
      before.at = at;
      return before;
    }
    if (!/^\d{0,9}$/.test(cell)) {
      throw this.#error(line, this.#sessionIndex, `${shown(cell)} is no whole number`, 'Number them from 1 on.');
    }
    const place = before.place + 1;
    const session = place === 1 ? this.#identity.session : `${this.#identity.session}.${place}`;
    this.#session = { cell, place, session, rows: 1, at, monoMs: 0 };
    return this.#session;
  }

  #readCell(column: Column, index: number, cell: string, line: number, into: KeptReading): void {
    if ('quantity' in column) {
      if (this.#readQuantity(column, cell.trim(), into)) return;
      const fix = 'Write a decimal point and no unit, or leave it empty.';
      throw this.#error(line, index, `${shown(cell)} is no number`, fix);
    }
    if ('word' in column && cell !== '' && !column.word.read(fromTextCell(cell), into)) {
      throw this.#error(line, index, `${shown(cell)} is not allowed`, `Allowed: ${column.word.allowed}.`);
    }
  }

  /** False where the cell is neither empty nor a number. */
  #readQuantity({ quantity, min, max }: QuantityColumn, cell: string, into: KeptReading): boolean {
    if (cell === '') {
      this.counts.missing++;
      into.quantities[quantity] = null;
      into.reasons[quantity] ??= 'notGiven';
      return true;
    }
    const value = fromNumberCell(cell);
    if (value === null) return false;
    if (value >= min && value <= max) {
      into.quantities[quantity] = value;
      return true;
    }
    this.counts.outOfRange++;
    into.quantities[quantity] = null;
    into.reasons[quantity] = 'outOfRange';
    if (into.quality === 'good') into.quality = 'uncertain';
    return true;
  }

  #error(line: number, index: number, message: string, fix: string): WattkeepError {
    return new WattkeepError('IMPORT_ROW', `line ${line}, column ${this.#header[index]!.trim()}: ${message}`, fix);
  }
}
