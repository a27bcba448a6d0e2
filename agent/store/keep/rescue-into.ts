/** Fills a fresh record with what can be read of a damaged file; within the caller's transaction. */
import { blockHolds, fingerprint } from '../codec/block.ts';
import { parseLayout } from '../codec/layout.ts';
import { CodecError } from '../codec/varint.ts';
import type { Connection } from '../kept.ts';
import { keepFuller, LEVELS } from '../rollup.ts';
import { openShelf } from '../shelf.ts';
import { allBuckets, openRollups } from '../stored-rollups.ts';
import { tailNumber } from '../tail.ts';
import {
  type CarvedRow,
  carveRows,
  looksLikeBlock,
  looksLikeLayout,
  looksLikeRollup,
  looksLikeStation,
  looksLikeTail,
} from './carve.ts';
import { rebuildRollups } from './rebuild.ts';
import { salvage, shapeOf } from './salvage.ts';

type Row = Record<string, unknown>;

export interface Damaged {
  /** null where not even its first page can be read. */
  db: Connection | null;
  /** The same file, for its pages. */
  path: string;
}

/** What readings were let go: before blocks, since pages no longer used hold those that went. */
const RETENTION = ['evidence', 'letGo'] as const;
/** Tables of rows of one station each. What else is lost stays in the damaged file. */
const OF_STATION = [
  'session',
  'day',
  'cursor',
  'outage',
  'span',
  'fact',
  'learned',
  'spot',
  'mark',
  'note',
  'counted',
  'bridge',
  'trial',
] as const;
const LAYOUT = ['id', 'text'] as const;
const STATION = ['id', 'name', 'layout', 'firstAt', 'lastAt'] as const;
const BLOCK = ['id', 'station', 'layout', 'fromAt', 'toAt', 'count', 'body'] as const;
/** As it is since the ninth schema. */
const TAIL = [...BLOCK, 'session', 'lastSeq'] as const;
const ROLLUP = ['id', 'station', 'stepMs', 'startAt', 'layout', 'body'] as const;

/** Inserts a row unless one of its key is there. */
function inserter(into: Connection, table: string, columns: readonly string[]): (row: Row) => void {
  const values = columns.map(name => `@${name}`).join(', ');
  const statement = into.prepare(`INSERT OR IGNORE INTO ${table} (${columns.join(', ')}) VALUES (${values})`);
  return row => void statement.run(Object.fromEntries(columns.map(name => [name, row[name] ?? null])));
}

function* reached({ db }: Damaged, table: string): Generator<Row> {
  if (db !== null) yield* salvage(db, table);
}

function* carved(from: Damaged, columns: readonly string[], looks: (row: CarvedRow) => boolean): Generator<Row> {
  for (const { rowid, values } of carveRows(from.path, columns.length, looks))
    yield Object.fromEntries(columns.map((name, index) => [name, index === 0 ? rowid : values[index]]));
}

/** Rows that an index holds whole, so that their table need not be read. */
function covered({ db }: Damaged, sql: string): Row[] {
  try {
    return db?.prepare<[], Row>(sql).all() ?? [];
  } catch (error) {
    if (error instanceof Error && 'code' in error) return [];
    throw error;
  }
}

function isLayout(text: unknown): text is string {
  try {
    return typeof text === 'string' && parseLayout(text).channels.length >= 0;
  } catch (error) {
    if (error instanceof CodecError || error instanceof SyntaxError) return false;
    throw error;
  }
}

/** Layouts and stations: without them no block can be read. */
function takeNames(from: Damaged, into: Connection, names: readonly string[]): void {
  const putLayout = inserter(into, 'layout', LAYOUT);
  const putStation = inserter(into, 'station', STATION);
  for (const rows of [reached(from, 'layout'), carved(from, LAYOUT, looksLikeLayout)])
    for (const row of rows) if (isLayout(row.text)) putLayout(row);
  for (const row of covered(from, 'SELECT id, text FROM layout INDEXED BY sqlite_autoindex_layout_1'))
    if (isLayout(row.text)) putLayout(row);
  const known = into.prepare<[unknown], number>('SELECT 1 FROM layout WHERE id = ?').pluck();
  for (const rows of [reached(from, 'station'), carved(from, STATION, looksLikeStation)])
    for (const row of rows) if (known.get(row.layout) !== undefined) putStation(row);
  if (into.prepare('SELECT 1 FROM station').get() !== undefined) return;
  // Their one page is gone: blocks still tell the numbers, and an index the names.
  const told = new Map(
    covered(from, 'SELECT id, name FROM station INDEXED BY sqlite_autoindex_station_1').map(row => [row.id, row.name]),
  );
  const ids = new Map<number, number>();
  for (const row of carved(from, BLOCK, looksLikeBlock))
    ids.set(Number(row.station), Math.max(ids.get(Number(row.station)) ?? 0, Number(row.layout)));
  for (const [id, layout] of ids) {
    const name = told.get(id) ?? (ids.size === 1 && names.length === 1 ? names[0] : `station-${id}`);
    if (known.get(layout) !== undefined) putStation({ id, name, layout });
  }
}

function takeBlocks(from: Damaged, into: Connection): void {
  const all = into.prepare<[], { id: number; text: string }>('SELECT id, text FROM layout').all();
  const layouts = new Map(all.map(({ id, text }) => [id, fingerprint(text)]));
  const stations = new Set(into.prepare<[], number>('SELECT id FROM station').pluck().all());
  const fits = ({ station, layout, body }: Row): boolean =>
    Buffer.isBuffer(body) &&
    blockHolds(body) &&
    stations.has(Number(station)) &&
    layouts.get(Number(layout)) === body.readUInt32LE(5);
  const putBlock = inserter(into, 'blk', BLOCK);
  for (const row of reached(from, 'blk')) if (fits(row)) putBlock(row);
  const putOpen = inserter(into, 'tail', TAIL);
  // Older schemas numbered them otherwise.
  for (const row of reached(from, 'tail'))
    if (fits(row)) putOpen({ ...row, id: tailNumber(Number(row.station), Number(row.id)) });
  // Blocks of a station never overlap, so the last that begins before the end of one reaches furthest; and one that does
  // overlap is an older state of what is there. Asked of every row of a year: without the order each would read them all.
  const before = (table: string) =>
    into
      .prepare<unknown[], number>(
        `SELECT toAt FROM ${table} WHERE station = ? AND fromAt <= ? ORDER BY fromAt DESC LIMIT 1`,
      )
      .pluck();
  const taken = [before('blk'), before('tail')];
  const isNew = ({ station, fromAt, toAt }: Row) =>
    taken.every(one => (one.get(station, toAt) ?? Number.NEGATIVE_INFINITY) < Number(fromAt));
  const wentStatement = into.prepare<unknown[], number>(`SELECT 1 FROM letGo WHERE station = @station
    AND beforeMs > @toAt AND NOT EXISTS (SELECT 1 FROM evidence WHERE evidence.station = letGo.station
      AND droppedAt IS NULL AND fromMs <= @toAt AND toMs > @fromAt)`);
  const went = ({ station, fromAt, toAt }: Row) => wentStatement.get({ station, fromAt, toAt }) !== undefined;
  const found = [...carved(from, BLOCK, looksLikeBlock), ...carved(from, TAIL, looksLikeTail)].filter(
    row => fits(row) && isNew(row) && !went(row),
  );
  found.sort((a, b) => Number(b.count) - Number(a.count));
  for (const row of found) if (isNew(row)) putBlock({ ...row, id: null });

  takeRollups(from, into, fits);
}

/**
 * Those that can be reached stand. For the others pages may hold several states: of each bucket the fullest is taken, from
 * them and from the blocks, since where readings were let go no block can tell.
 */
function takeRollups(from: Damaged, into: Connection, fits: (row: Row) => boolean): void {
  const putRollup = inserter(into, 'rb', ROLLUP.slice(1));
  const keyOf = (...parts: unknown[]) => parts.join(' ');
  const stand = new Set<string>();
  for (const row of reached(from, 'rb')) {
    if (!fits(row)) continue;
    putRollup(row);
    stand.add(keyOf(row.station, row.stepMs, row.startAt));
  }
  const shelf = openShelf(into);
  const rollups = openRollups(into, shelf);
  const layoutOf = into.prepare<[number], number>('SELECT layout FROM station WHERE id = ?').pluck();
  for (const row of carved(from, ROLLUP, looksLikeRollup)) {
    const level = LEVELS.find(({ stepMs }) => stepMs === row.stepMs);
    const [station, startAt] = [Number(row.station), Number(row.startAt)];
    if (level === undefined || stand.has(keyOf(station, level.stepMs, startAt)) || !fits(row)) continue;
    // The newest layout begins with all older ones.
    const newest = layoutOf.get(station)!;
    const buckets = allBuckets(row.body as Buffer, shelf.byId(Number(row.layout)), level);
    keepFuller(buckets, rollups.read(station, level, startAt) ?? []);
    rollups.put(station, level, startAt, buckets, shelf.byId(newest), newest);
  }
  rebuildRollups(into, (station, { stepMs }, startAt) => stand.has(keyOf(station, stepMs, startAt)));
}

/** Rows of a table as far as both files know its columns. */
function takeTable(from: Damaged, into: Connection, table: string, wanted: (row: Row) => boolean): void {
  const theirs = from.db === null ? null : shapeOf(from.db, table);
  const ours = shapeOf(into, table);
  if (theirs === null || ours === null) return;
  const put = inserter(
    into,
    table,
    ours.columns.filter(name => theirs.columns.includes(name)),
  );
  for (const row of reached(from, table)) if (wanted(row)) put(row);
}

/** How many blocks the index knows of; null where it cannot be read. */
function blocksTold(db: Connection | null): number | null {
  try {
    return db?.prepare<[], number>('SELECT count(*) FROM blk INDEXED BY blkByTime').pluck().get() ?? null;
  } catch (error) {
    if (error instanceof Error && 'code' in error) return null;
    throw error;
  }
}

/**
 * @param names stations of the settings: the one that blocks of an unknown station must be of, where there is only one
 * @returns readings that are in the fresh record, and blocks that are not
 */
export function rescueInto(
  from: Damaged,
  into: Connection,
  names: readonly string[],
): { readings: number; lostBlocks: number } {
  takeTable(from, into, 'meta', () => true);
  takeNames(from, into, names);
  const stations = new Set(into.prepare<[], number>('SELECT id FROM station').pluck().all());
  for (const table of RETENTION) takeTable(from, into, table, row => stations.has(Number(row.station)));
  takeBlocks(from, into);
  for (const table of OF_STATION) takeTable(from, into, table, row => stations.has(Number(row.station)));
  const end = (pick: string) =>
    `(SELECT ${pick} FROM (SELECT station, fromAt, toAt FROM blk UNION ALL SELECT station, fromAt, toAt FROM tail) AS all_
      WHERE all_.station = station.id)`;
  into.exec(`UPDATE station SET firstAt = ${end('min(fromAt)')}, lastAt = ${end('max(toAt)')};
    UPDATE station SET firstAt = (SELECT min(firstAt) FROM session WHERE session.station = station.id)
      WHERE EXISTS (SELECT 1 FROM letGo JOIN session USING (station) WHERE letGo.station = station.id)`);
  // Last: the rows above would take them away. Days that lost something no longer match theirs, and are named so.
  takeTable(from, into, 'seal', row => stations.has(Number(row.station)));
  const count = (sql: string) => into.prepare<[], number>(sql).pluck().get() ?? 0;
  const blocks = count('SELECT count(*) FROM blk');
  return {
    readings: count('SELECT (SELECT total(count) FROM blk) + (SELECT total(count) FROM tail)'),
    lostBlocks: Math.max(0, (blocksTold(from.db) ?? blocks) - blocks),
  };
}
