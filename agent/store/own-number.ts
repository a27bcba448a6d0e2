/**
 * The number that a record is known by, in its first page, and its being written into each log anew: that page is written
 * seldom, and a log without it could be anybody's (`lost-log`).
 */
import { randomInt } from 'node:crypto';
import type { Connection } from './kept.ts';

const numberOf = (db: Connection): number => Number(db.pragma('application_id', { simple: true }));

/** Gives a record its number; false where it has one. The file itself holds it once its log was written back. */
export function giveNumber(db: Connection): boolean {
  if (numberOf(db) !== 0) return false;
  db.pragma(`application_id = ${randomInt(1, 2 ** 31 - 1)}`);
  return true;
}

export interface Numbering {
  /** Before each transaction: what follows may begin a log. */
  before(): void;
  /** Within one. */
  within(): void;
  /** It was committed. */
  after(): void;
}

export function openNumbering(db: Connection): Numbering {
  // Tells how far the log reaches and how much of it was written back, and does nothing.
  const look = db.prepare<[], { log: number; checkpointed: number }>('PRAGMA wal_checkpoint(NOOP)');
  const write = db.prepare(`PRAGMA application_id = ${numberOf(db)}`);
  let due = true;
  return {
    before() {
      const { log, checkpointed } = look.get()!;
      if (log === checkpointed) due = true;
    },
    within: () => void (due && write.run()),
    after() {
      due = false;
    },
  };
}
