/**
 * The floor of the season: SQLite as one would write it at first, one row a reading and one row a bucket, with all that
 * the record keeps of a reading. WAL, FULL.
 */
import Database from 'better-sqlite3';
import type { Reading } from '#kit';
import { COLUMNS } from './season-data.ts';

const NAMES = COLUMNS.map(([name]) => name);
const BUCKET = NAMES.flatMap(name => [`${name}Min`, `${name}Max`, `${name}Sum`, `${name}Count`]);
const table = (name: string, columns: readonly string[]) =>
  `CREATE TABLE ${name} (station INTEGER, at INTEGER, ${columns.join(' REAL, ')} REAL, PRIMARY KEY (station, at)) WITHOUT ROWID`;

export interface WideRows {
  add(readings: readonly Reading[]): void;
  /** Adds buckets of a quarter-hour from what `add` brought. */
  rollUp(): void;
  /** Least, mean and greatest of some columns by the quarter-hour. */
  quarters(columns: readonly string[], fromMs: number, toMs: number): Float64Array[];
  close(): void;
}

export function openWideRows(path: string): WideRows {
  const db = new Database(path);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.exec(`${table('reading', ['session', 'seq', 'monoMs', 'flags', ...NAMES])};${table('quarter', BUCKET)}`);
  const insert = db.prepare(
    `INSERT INTO reading VALUES (${Array(6 + NAMES.length)
      .fill('?')
      .join(', ')})`,
  );
  const addAll = db.transaction((readings: readonly Reading[]) => {
    for (const { at, seq, monoMs, quantities: q } of readings)
      insert.run(
        1,
        at,
        1,
        seq,
        monoMs,
        0,
        q.inputPowerW,
        q.solarPowerW,
        q.outputPowerW,
        q.acOutputPowerW,
        q.dcOutputPowerW,
        q.stateOfChargePct,
        q.batteryVoltageV,
        q.batteryTempC,
      );
  });
  return {
    add: readings => void addAll.immediate(readings),
    rollUp() {
      const sums = NAMES.flatMap(name => [`min(${name})`, `max(${name})`, `sum(${name})`, `count(${name})`]);
      db.exec(
        `INSERT INTO quarter SELECT 1, at / 900000 * 900000, ${sums.join(', ')} FROM reading GROUP BY at / 900000`,
      );
    },
    quarters(columns, fromMs, toMs) {
      const picked = columns.flatMap(name => [`${name}Min AS a`, `${name}Sum / ${name}Count AS b`, `${name}Max AS c`]);
      const rows = db
        .prepare<[number, number], number[]>(
          `SELECT at, ${picked.join(', ')} FROM quarter WHERE station = 1 AND at >= ? AND at < ? ORDER BY at`,
        )
        .raw()
        .all(fromMs, toMs);
      return picked.map((_, index) => Float64Array.from(rows, row => row[index + 1]!));
    },
    close: () => void db.close(),
  };
}
