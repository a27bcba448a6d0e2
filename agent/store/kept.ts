/**
 * Databases and statements that are never given up to the garbage collector. From Node.js 24.21 on a native object
 * collected outside of any running script ends the process (an assertion in RemoveEnvironmentCleanupHook), and the
 * collector runs whenever it likes. An agent opens a handful of both, so keeping all of them costs nothing; closing a
 * database still frees what it holds.
 */
import Database from 'better-sqlite3';

export type Connection = Database.Database;

const kept: unknown[] = [];

/** As `new Database`; its `prepare` and `pragma` keep what they make. */
export function openDatabase(file: string | Buffer, options: Database.Options): Connection {
  const db = new Database(file, options);
  const prepare = db.prepare.bind(db) as (sql: string) => Database.Statement;
  const keep = (sql: string): Database.Statement => {
    const statement = prepare(sql);
    kept.push(statement);
    return statement;
  };
  db.prepare = keep as typeof db.prepare;
  db.pragma = (text, { simple = false } = {}) => {
    const statement = keep(`PRAGMA ${text}`);
    if (!statement.reader) return statement.run();
    return simple ? statement.pluck().get() : statement.all();
  };
  kept.push(db);
  return db;
}
