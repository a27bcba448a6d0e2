/**
 * A damaged record put aside under a dated name, untouched, and what can be read of it in its place. Until the fresh
 * file is whole and checked nothing is moved; killed on the way, the next start begins again.
 */
import { copyFileSync, existsSync, renameSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { connectWriter, emptyLog, quickCheck } from '../connection.ts';
import { asRecordError, recordError } from '../failure.ts';
import { asDiskError, createPrivateFile } from '../folder.ts';
import { type Connection, openDatabase } from '../kept.ts';
import { takeLock } from '../lock.ts';
import { damageSign, RESCUED_KEY, type Rescued } from './damage.ts';
import { keepAs } from './keep-as.ts';
import { flush } from './manifest.ts';
import { rescueInto } from './rescue-into.ts';

/** With what its log holds moved into it, as far as that can be read; null where it is no database any more. */
function openDamaged(path: string): Connection | null {
  try {
    const db = openDatabase(path, { timeout: 500 });
    try {
      emptyLog(db);
      db.pragma('schema_version');
      db.prepare('SELECT count(*) FROM sqlite_schema').get();
      return db;
    } catch (error) {
      db.close();
      throw error;
    }
  } catch (error) {
    if (asRecordError(error, path).code === 'RECORD_DAMAGED') return null;
    throw error;
  }
}

const removeDatabase = (path: string): void => {
  for (const end of ['', '-wal', '-shm', '-journal']) rmSync(`${path}${end}`, { force: true });
};

/**
 * @param names stations of the settings
 * @returns what became of it. Throws DATA_BUSY, DISK_FULL and what else a disk can say: nothing was moved then
 */
export function rescueRecord(dir: string, names: readonly string[], nowMs: number): Rescued {
  const path = join(dir, 'record.db');
  const [copy, fresh] = [join(dir, 'rescuing.db'), join(dir, 'rescued.db')];
  const lock = takeLock(dir, nowMs);
  try {
    for (const left of [copy, fresh]) removeDatabase(left);
    for (const end of ['', '-wal'])
      if (existsSync(`${path}${end}`)) {
        createPrivateFile(`${copy}${end}`);
        copyFileSync(`${path}${end}`, `${copy}${end}`);
      }
    const keptAs = `damaged-${new Date(nowMs).toISOString().replace(/[:.]/g, '-')}.db`;
    const rescued = fill(copy, fresh, names, { at: nowMs, keptAs });
    keepAs(path, join(dir, keptAs));
    if (existsSync(`${path}-wal`) && statSync(`${path}-wal`).size > 0)
      keepAs(`${path}-wal`, join(dir, `${keptAs}-wal`));
    // A log of another file must never meet the new one.
    for (const end of ['-wal', '-shm']) rmSync(`${path}${end}`, { force: true });
    renameSync(fresh, path);
    rmSync(damageSign(dir), { force: true });
    flush(dir);
    return rescued;
  } catch (error) {
    throw asDiskError(error, path);
  } finally {
    for (const left of [copy, fresh]) removeDatabase(left);
    lock.release();
  }
}

function fill(copy: string, fresh: string, names: readonly string[], what: { at: number; keptAs: string }): Rescued {
  const damaged = openDamaged(copy);
  createPrivateFile(fresh);
  const db = connectWriter(fresh);
  try {
    const rescued = db
      .transaction(() => {
        const made = { ...what, ...rescueInto({ db: damaged, path: copy }, db, names) };
        db.prepare('INSERT OR REPLACE INTO meta (key, value) VALUES (?, ?)').run(RESCUED_KEY, JSON.stringify(made));
        return made;
      })
      .immediate();
    const [finding] = quickCheck(db);
    if (finding !== undefined) throw recordError('RECORD_DAMAGED', `${fresh} is damaged: ${finding}`);
    emptyLog(db);
    return rescued;
  } finally {
    db.close();
    damaged?.close();
  }
}
