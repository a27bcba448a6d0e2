/**
 * Rows read straight from the pages of a damaged file, whatever has become of the trees above them (SQLite's file
 * format, 1.6 and 2.1). Only table leaves; what a row is, is told by the kinds of its columns, and blocks carry a
 * checksum of their own. Pages that are no longer used give older rows: the caller must not take anything twice.
 */
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { blockHolds } from '../codec/block.ts';

const TABLE_LEAF = 0x0d;
const COLUMNS_MAX = 9;
const ROW_MAX_BYTES = 64 * 1024 * 1024;

type Value = number | string | Buffer | null;
export interface CarvedRow {
  rowid: number;
  values: Value[];
}

interface Pages {
  size: number;
  usable: number;
  count: number;
  /** null where it does not exist; a buffer of its own otherwise. */
  read(page: number): Buffer | null;
}

function openPages(file: number): Pages {
  const head = Buffer.alloc(100);
  readSync(file, head, 0, 100, 0);
  const told = head.readUInt16BE(16) === 1 ? 65_536 : head.readUInt16BE(16);
  const valid = head.toString('latin1', 0, 15) === 'SQLite format 3' && told >= 512 && (told & (told - 1)) === 0;
  // SQLite's own default, which the record has.
  const size = valid ? told : 4096;
  const count = Math.floor(fstatSync(file).size / size);
  return {
    size,
    usable: size - (valid ? head[20]! : 0),
    count,
    read: page => {
      if (page < 1 || page > count) return null;
      const buffer = Buffer.allocUnsafe(size);
      return readSync(file, buffer, 0, size, (page - 1) * size) === size ? buffer : null;
    },
  };
}

/** SQLite's varint: seven bits a byte, high bits first, nine bytes at most. */
function varint(bytes: Buffer, at: number): [value: number, next: number] | null {
  let value = 0;
  for (let i = 0; i < 8; i++) {
    const byte = bytes[at + i];
    if (byte === undefined) return null;
    value = value * 128 + (byte & 0x7f);
    if (byte < 0x80) return Number.isSafeInteger(value) ? [value, at + i + 1] : null;
  }
  return null;
}

/** A cell's whole payload, its overflow pages followed. */
function payloadOf(pages: Pages, page: Buffer, at: number, length: number): Buffer | null {
  const { usable } = pages;
  const most = usable - 35;
  const least = Math.floor(((usable - 12) * 32) / 255) - 23;
  const fitting = least + ((length - least) % (usable - 4));
  const local = length <= most ? length : fitting <= most ? fitting : least;
  if (length > ROW_MAX_BYTES || at + local > page.length) return null;
  if (local === length) return page.subarray(at, at + length);
  const parts = [page.subarray(at, at + local)];
  let left = length - local;
  let next = at + local + 4 <= page.length ? page.readUInt32BE(at + local) : 0;
  while (left > 0) {
    const more = pages.read(next);
    if (more === null) return null;
    const taken = Math.min(left, usable - 4);
    parts.push(more.subarray(4, 4 + taken));
    left -= taken;
    next = more.readUInt32BE(0);
  }
  return Buffer.concat(parts);
}

/** Bytes of a column by its serial type; null where there is no such type. */
function widthOf(type: number): number | null {
  if (type <= 4) return type;
  if (type === 5) return 6;
  if (type === 6 || type === 7) return 8;
  if (type === 8 || type === 9) return 0;
  return type < 12 ? null : Math.floor((type - 12) / 2);
}

function columnValue(type: number, bytes: Buffer): Value {
  if (type === 0) return null;
  if (type === 8 || type === 9) return type - 8;
  if (type === 7) return bytes.readDoubleBE(0);
  if (type === 6) return Number(bytes.readBigInt64BE(0));
  if (type < 7) return bytes.readIntBE(0, bytes.length);
  return type % 2 === 0 ? Buffer.from(bytes) : bytes.toString('utf8');
}

/** Serial types of a record's columns and where its values begin; null where the bytes are no record's head. */
function typesOf(payload: Buffer): { types: number[]; from: number } | null {
  const head = varint(payload, 0);
  if (head === null || head[0] > payload.length) return null;
  const types: number[] = [];
  for (let at = head[1]; at < head[0]; ) {
    const type = varint(payload, at);
    if (type === null || types.length >= COLUMNS_MAX) return null;
    types.push(type[0]);
    at = type[1];
  }
  return { types, from: head[0] };
}

function valuesOf(payload: Buffer): Value[] | null {
  const head = typesOf(payload);
  if (head === null) return null;
  let { from } = head;
  const values: Value[] = [];
  for (const type of head.types) {
    const width = widthOf(type);
    if (width === null || from + width > payload.length) return null;
    values.push(columnValue(type, payload.subarray(from, from + width)));
    from += width;
  }
  return values;
}

/**
 * Every row of so many columns, of every table leaf, that `wanted` says yes to. Never throws for what is in the file.
 */
export function* carveRows(path: string, columns: number, wanted: (row: CarvedRow) => boolean): Generator<CarvedRow> {
  const file = openSync(path, 'r');
  try {
    const pages = openPages(file);
    for (let number = 1; number <= pages.count; number++) {
      const page = pages.read(number)!;
      const head = number === 1 ? 100 : 0;
      if (page[head] !== TABLE_LEAF) continue;
      const cells = page.readUInt16BE(head + 3);
      if (head + 8 + 2 * cells > page.length) continue;
      for (let cell = 0; cell < cells; cell++) {
        const row = rowAt(pages, page, page.readUInt16BE(head + 8 + 2 * cell), columns);
        if (row !== null && wanted(row)) yield row;
      }
    }
  } finally {
    closeSync(file);
  }
}

function rowAt(pages: Pages, page: Buffer, at: number, columns: number): CarvedRow | null {
  const length = varint(page, at);
  const rowid = length === null ? null : varint(page, length[1]);
  if (length === null || rowid === null) return null;
  // The head lies in the page itself: what is of another table is not read any further.
  if (typesOf(page.subarray(rowid[1]))?.types.length !== columns) return null;
  const payload = payloadOf(pages, page, rowid[1], length[0]);
  const values = payload === null ? null : valuesOf(payload);
  return values === null ? null : { rowid: rowid[0], values };
}

const isInt = (value: Value | undefined): value is number => Number.isSafeInteger(value);
const isBlock = (value: Value | undefined): value is Buffer => Buffer.isBuffer(value) && blockHolds(value);

/** Of `blk` or `tail`: station, layout, fromAt, toAt, count, body. */
export const looksLikeBlock = ({ values: v }: CarvedRow): boolean =>
  v.length === 7 && v[0] === null && v.slice(1, 6).every(isInt) && isBlock(v[6]);

/** Of `tail` since the ninth schema: as `blk`, then session and lastSeq. */
export const looksLikeTail = ({ values: v }: CarvedRow): boolean =>
  v.length === 9 && looksLikeBlock({ rowid: 0, values: v.slice(0, 7) });

/** Of `rb`: station, stepMs, startAt, layout, body. */
export const looksLikeRollup = ({ values: v }: CarvedRow): boolean =>
  v.length === 6 && v[0] === null && v.slice(1, 5).every(isInt) && isBlock(v[5]);

/** Of `layout`: its text. */
export const looksLikeLayout = ({ values: v }: CarvedRow): boolean =>
  v.length === 2 && v[0] === null && typeof v[1] === 'string' && v[1].startsWith('[');

/** Of `station`: name, layout, firstAt, lastAt. */
export const looksLikeStation = ({ values: v }: CarvedRow): boolean =>
  v.length === 5 && v[0] === null && typeof v[1] === 'string' && isInt(v[2]);
