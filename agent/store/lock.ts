/**
 * One writer per folder: an EXCLUSIVE transaction on a small SQLite file of its own, held as long as the record is
 * open. The system drops it with the process, however it dies; it works wherever SQLite does. A text file beside it
 * says who holds it, for the message only.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import { asRecordError, codeOf } from './failure.ts';
import { createPrivateFile } from './folder.ts';
import { type Connection, openDatabase } from './kept.ts';

/** Long enough for the winner of a race to get past the losers' glances, short enough to say no at once. */
const WAIT_MS = 500;
const HOLDER_TRIES = 10;
const HOLDER_PAUSE_MS = 20;

export interface Lock {
  release(): void;
}

interface Holder {
  pid: number;
  since: string;
}

const isAlive = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return codeOf(error) === 'EPERM';
  }
};

function readHolder(path: string): Holder | null {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    if (codeOf(error) === 'ENOENT') return null;
    throw asRecordError(error, path);
  }
  const found = /^pid (\d+) since (\S+)\n$/.exec(text);
  return found === null ? null : { pid: Number(found[1]), since: found[2]! };
}

/** The winner writes its name just after it has won; until then the file is missing or tells of a dead process. */
function awaitHolder(path: string): Holder | null {
  const pause = new Int32Array(new SharedArrayBuffer(4));
  for (let tries = 0; tries < HOLDER_TRIES; tries++) {
    const holder = readHolder(path);
    if (holder !== null && isAlive(holder.pid)) return holder;
    Atomics.wait(pause, 0, 0, HOLDER_PAUSE_MS);
  }
  return null;
}

/** Takes the folder's lock or throws DATA_BUSY naming the holder, in under a second and changing nothing. */
export function takeLock(dir: string, nowMs: number): Lock {
  const path = join(dir, 'lock.db');
  const holderPath = join(dir, 'lock.txt');
  createPrivateFile(path);
  let db: Connection | undefined;
  try {
    db = openDatabase(path, { timeout: WAIT_MS });
    db.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    db?.close();
    if (codeOf(error) !== 'SQLITE_BUSY') throw asRecordError(error, path);
    const holder = awaitHolder(holderPath);
    const who = holder === null ? 'another agent' : `another agent (pid ${holder.pid}, since ${holder.since})`;
    throw new WattkeepError(
      'DATA_BUSY',
      `${who} uses the folder ${dir}`,
      'Stop that one first, or name another folder with --data.',
    );
  }
  const held = db;
  try {
    writeFileSync(holderPath, `pid ${process.pid} since ${new Date(nowMs).toISOString()}\n`, { mode: 0o600 });
  } catch (error) {
    held.close();
    throw asRecordError(error, holderPath);
  }
  return {
    release: () => {
      held.close();
    },
  };
}
