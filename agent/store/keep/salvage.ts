/**
 * Rows of a damaged table through SQLite, as many as can be reached: from both ends inwards, and, where rows are
 * numbered, the stretch between by halves. One damaged page then costs its own rows and no others.
 */
import type { Connection } from '../kept.ts';

type Row = Record<string, unknown>;
const AT_ONCE = 64;

/** Names of a table's columns there, and of its key; null where the table cannot be known. */
export function shapeOf(db: Connection, table: string): { columns: string[]; key: string[] } | null {
  const rows = attempt(() => db.pragma(`table_info(${table})`) as { name: string; pk: number }[]);
  if (rows === null || rows.length === 0) return null;
  const key = rows.filter(row => row.pk > 0).sort((a, b) => a.pk - b.pk);
  return { columns: rows.map(row => row.name), key: key.map(row => row.name) };
}

/** null where SQLite finds damage on the way. */
function attempt<T>(read: () => T): T | null {
  try {
    return read();
  } catch (error) {
    if (error instanceof Error && 'code' in error && String(error.code).startsWith('SQLITE_')) return null;
    throw error;
  }
}

/** Rows from one end until a damaged place. */
function* fromEnd(db: Connection, table: string, key: readonly string[], order: 'ASC' | 'DESC'): Generator<Row> {
  const by = key.map(name => `${name} ${order}`).join(', ');
  const after = `(${key.join(', ')}) ${order === 'ASC' ? '>' : '<'} (${key.map(() => '?').join(', ')})`;
  const first = attempt(() => db.prepare<unknown[], Row>(`SELECT * FROM ${table} ORDER BY ${by} LIMIT ?`));
  const next = attempt(() =>
    db.prepare<unknown[], Row>(`SELECT * FROM ${table} WHERE ${after} ORDER BY ${by} LIMIT ?`),
  );
  if (first === null || next === null) return;
  let place: unknown[] = [];
  for (let most = AT_ONCE; ; ) {
    const from = place;
    const rows = attempt(() => (from.length === 0 ? first : next).all(...from, most));
    if (rows === null) {
      if (most === 1) return;
      most = 1;
      continue;
    }
    yield* rows;
    if (rows.length < most) return;
    place = key.map(name => rows.at(-1)![name]);
  }
}

/** Rows whose number lies in [from, to], by halves around what cannot be read. */
function* between(db: Connection, table: string, key: string, from: number, to: number): Generator<Row> {
  const range = db.prepare<unknown[], Row>(`SELECT * FROM ${table} WHERE ${key} BETWEEN ? AND ? ORDER BY ${key}`);
  const waiting = [[from, to]];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    const [low, high] = next as [number, number];
    if (low > high) continue;
    const rows = high - low < AT_ONCE ? attempt(() => range.all(low, high)) : null;
    if (rows !== null) yield* rows;
    else if (low < high) {
      const middle = Math.floor((low + high) / 2);
      waiting.push([middle + 1, high], [low, middle]);
    }
  }
}

/** Every row that can be reached, each once. */
export function* salvage(db: Connection, table: string): Generator<Row> {
  const shape = shapeOf(db, table);
  if (shape === null || shape.key.length === 0) return;
  const { key } = shape;
  const seen = new Set<string>();
  const identity = (row: Row) => JSON.stringify(key.map(name => row[name]));
  const once = function* (rows: Generator<Row>) {
    for (const row of rows) {
      const id = identity(row);
      if (seen.has(id)) return;
      seen.add(id);
      yield row;
    }
  };
  const number = (row: Row | undefined) =>
    key.length === 1 && typeof row?.[key[0]!] === 'number' ? Number(row[key[0]!]) : null;
  let lowest: Row | undefined;
  for (const row of once(fromEnd(db, table, key, 'ASC'))) {
    lowest = row;
    yield row;
  }
  let highest: Row | undefined;
  for (const row of once(fromEnd(db, table, key, 'DESC'))) {
    highest = row;
    yield row;
  }
  const [from, to] = [number(lowest), number(highest)];
  if (from !== null && to !== null && from < to) yield* once(between(db, table, key[0]!, from + 1, to - 1));
}
