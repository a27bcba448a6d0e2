/**
 * Opens the record's database with what its promises need, and refuses what would break them. better-sqlite3 runs WAL
 * at NORMAL unless told otherwise, which may lose committed rows in a power cut: FULL is set and read back.
 */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { WattkeepError } from '#kit';
import { isAsClosed } from './closed-whole.ts';
import { codeOf, recordError } from './failure.ts';
import { type Connection, openDatabase } from './kept.ts';
import { MIGRATIONS, type Migration } from './migrations/index.ts';
import { giveNumber } from './own-number.ts';

export type { Connection } from './kept.ts';

/** Before it two connections could damage a record while checkpointing (SQLite's WAL-reset fault). */
const SQLITE_LEAST = [3, 51, 3] as const;
const BUSY_MS = 5_000;
const WAL_LIMIT_BYTES = 16 * 1024 * 1024;
/**
 * Pages kept in memory, a connection. The library is compiled with 16 MB, which fill in weeks of running; answers are as
 * quick with this (a year of ten stations measured), since the system keeps the file's pages anyway.
 */
const CACHE_KIB = 2_000;
/** Above this a full check would hold up the start; the host then runs it in the background. */
export const CHECK_AT_OPEN_MAX_BYTES = 250 * 1024 * 1024;

/** Throws SQLITE_OLD for a library before 3.51.3. */
export function refuseOldSqlite(version: string): void {
  const parts = version.split('.').map(Number);
  for (const [index, least] of SQLITE_LEAST.entries()) {
    const part = parts[index] ?? 0;
    if (part > least) return;
    if (part < least) {
      throw new WattkeepError(
        'SQLITE_OLD',
        `SQLite ${version} is older than ${SQLITE_LEAST.join('.')} and can damage a record`,
        'Run npm ci again, so that the bundled SQLite is used.',
      );
    }
  }
}

/** Findings of SQLite's own check; empty where all is well. What keeps it from looking on is a finding too. */
export function quickCheck(db: Connection): string[] {
  try {
    const rows = db.pragma('quick_check(20)') as { quick_check: string }[];
    return rows.map(row => row.quick_check).filter(text => text !== 'ok');
  } catch (error) {
    if (error instanceof Error && codeOf(error).startsWith('SQLITE_CORRUPT')) return [error.message];
    throw error;
  }
}

function refuseDamaged(db: Connection, path: string): void {
  const findings = quickCheck(db);
  if (findings.length > 0) throw recordError('RECORD_DAMAGED', `${path} is damaged: ${findings[0]}`);
}

/** Writes the whole write-ahead log into the file and empties it. */
export function emptyLog(db: Connection): void {
  db.pragma('wal_checkpoint(TRUNCATE)');
}

const schemaVersion = (db: Connection): number => Number(db.pragma('user_version', { simple: true }));

function refuseNewer(db: Connection, path: string, newest: number): void {
  const version = schemaVersion(db);
  if (version <= newest) return;
  throw new WattkeepError(
    'RECORD_NEWER',
    `${path} was made by a newer wattkeep (schema ${version}; this one knows ${newest}); nothing was changed`,
    'Install the newer wattkeep again, or name another folder with --data.',
  );
}

/**
 * Brings the schema up in one transaction: after a failure it is the old or the new one, never between.
 *
 * @param before called once before anything is changed, where the record holds something
 */
export function migrate(db: Connection, migrations: readonly Migration[], before?: (newest: number) => void): void {
  const from = schemaVersion(db);
  const wanted = migrations.filter(({ version }) => version > from);
  if (wanted.length === 0) return;
  if (from > 0) before?.(newestOf(wanted));
  db.transaction(() => {
    for (const { version, sql } of wanted) {
      db.exec(sql);
      db.pragma(`user_version = ${version}`);
    }
  }).immediate();
}

const newestOf = (migrations: readonly Migration[]): number => Math.max(...migrations.map(m => m.version));

/**
 * Checks an existing file through a read-only connection, which never writes to it, not even on closing.
 * Throws RECORD_DAMAGED, RECORD_NEWER or what SQLite says.
 */
function examine(path: string, migrations: readonly Migration[]): void {
  if (!existsSync(path) || statSync(path).size === 0) return;
  // Before SQLite holds the file: closing this look would drop its locks.
  const whole = statSync(path).size <= CHECK_AT_OPEN_MAX_BYTES && isAsClosed(path);
  const db = openDatabase(path, { readonly: true, timeout: BUSY_MS });
  try {
    refuseNewer(db, path, newestOf(migrations));
    if (!whole && statSync(path).size <= CHECK_AT_OPEN_MAX_BYTES) refuseDamaged(db, path);
  } finally {
    db.close();
  }
}

/**
 * The one connection that writes. Throws as `examine`, and SQLITE_OLD.
 *
 * @param before called once before an older schema is changed; where it throws nothing is changed
 */
export function connectWriter(
  path: string,
  migrations: readonly Migration[] = MIGRATIONS,
  before?: (db: Connection, newest: number) => void,
): Connection {
  examine(path, migrations);
  const db = openDatabase(path, { timeout: BUSY_MS });
  try {
    refuseOldSqlite(String(db.prepare('SELECT sqlite_version()').pluck().get()));
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    db.pragma(`journal_size_limit = ${WAL_LIMIT_BYTES}`);
    db.pragma(`cache_size = -${CACHE_KIB}`);
    const mode = db.pragma('journal_mode', { simple: true });
    const synchronous = db.pragma('synchronous', { simple: true });
    if (mode !== 'wal' || synchronous !== 2) {
      throw recordError('INTERNAL', `${path} opened as ${mode} with synchronous ${synchronous}, not wal with 2`);
    }
    migrate(db, migrations, newest => before?.(db, newest));
    if (giveNumber(db)) emptyLog(db);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** On a read-only or full disk a cleanly closed record cannot make its shared memory. */
const NO_SHARED_MEMORY = /^SQLITE_(CANTOPEN|READONLY|IOERR_SHM|FULL)/;

const logHolds = (path: string): boolean => existsSync(`${path}-wal`) && statSync(`${path}-wal`).size > 0;

export interface ReaderConnection {
  db: Connection;
  /** True where the disk takes no writes, so that a copy in memory is read. */
  frozen: boolean;
}

/** A file as it lies there, with the two header bytes that ask for a write-ahead log set back (file format, 1.3.3). */
const withoutLog = (image: Buffer): Buffer => image.fill(1, 18, 20);

/** A connection for questions only. Throws RECORD_NEWER, or what SQLite says. */
export function connectReader(path: string, migrations: readonly Migration[] = MIGRATIONS): ReaderConnection {
  let db = openDatabase(path, { readonly: true, timeout: BUSY_MS });
  let frozen = false;
  try {
    try {
      schemaVersion(db);
    } catch (error) {
      if (logHolds(path) || !NO_SHARED_MEMORY.test(codeOf(error))) throw error;
      db.close();
      db = openDatabase(withoutLog(readFileSync(path)), { readonly: true });
      frozen = true;
    }
    if (schemaVersion(db) === 0)
      throw new WattkeepError(
        'USAGE',
        `${path} holds nothing yet: the start that was to make it was broken off`,
        'Start the agent, or import with --write: either makes it whole.',
      );
    refuseNewer(db, path, newestOf(migrations));
    db.pragma(`cache_size = -${CACHE_KIB}`);
    return { db, frozen };
  } catch (error) {
    db.close();
    throw error;
  }
}

/**
 * What can be asked as of today's schema: `db` itself, or where it is of an older one a copy in memory that is brought
 * up, in its place. The file stays as it is: only who writes may bring that up.
 */
export function broughtUp(db: Connection, migrations: readonly Migration[] = MIGRATIONS): Connection {
  if (schemaVersion(db) === newestOf(migrations)) return db;
  const image = db.serialize();
  db.close();
  const copy = openDatabase(withoutLog(image), {});
  migrate(copy, migrations);
  return copy;
}
