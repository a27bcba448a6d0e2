/**
 * The owner is told before raw readings are let go for the first time: what is gone cannot be had back. Until so long after
 * that they stay; once any went, nothing is told again. What was told stands in the record. Instants UTC epoch ms.
 */
import type { RecordNote } from '#messages';
import type { Connection } from '../kept.ts';

const KEY = 'lettingGo';
/** Before it nothing was ever let go. */
const SINCE_SCHEMA = 7;

interface Told {
  readonly toldAt: number;
  readonly goesAt: number;
  readonly keepRawDays: number;
}

export interface FirstNotice {
  /** Whether readings that ended before `cutMs` may go now; null: none ever do. Begins to tell where it is the first time. */
  mayGo(nowMs: number, cutMs: number | null, keepRawDays: number | null): boolean;
}

/** @param noticeMs how long it is told before; 0: not at all */
export function openFirstNotice(db: Connection, noticeMs: number): FirstNotice {
  const wentBefore = db.prepare<[], number>('SELECT EXISTS (SELECT 1 FROM letGo)').pluck();
  // A station's newest block stays in any case.
  const isDue = db
    .prepare<[number], number>(`SELECT EXISTS (SELECT 1 FROM station WHERE (SELECT toAt FROM blk
      WHERE station = station.id AND fromAt < (SELECT max(fromAt) FROM blk WHERE station = station.id)
      ORDER BY fromAt, id LIMIT 1) < ?)`)
    .pluck();
  const told = db.prepare<[string], string>('SELECT value FROM meta WHERE key = ?').pluck();
  const forget = db.prepare('DELETE FROM meta WHERE key = ?');
  const tell = db.prepare('INSERT OR REPLACE INTO meta (key, value) VALUES (?, ?)');
  return {
    mayGo(nowMs, cutMs, keepRawDays) {
      const before = toldOf(told.get(KEY));
      if (cutMs === null || keepRawDays === null) {
        // Set anew, it is told anew.
        if (before !== null) forget.run(KEY);
        return true;
      }
      if (noticeMs === 0 || wentBefore.get() === 1 || isDue.get(cutMs) === 0) return true;
      // A clock that was ahead when it was told is no reason to wait for it.
      const toldAt = before !== null && before.toldAt <= nowMs ? before.toldAt : nowMs;
      const now: Told = { toldAt, goesAt: toldAt + noticeMs, keepRawDays };
      if (before?.toldAt !== toldAt || before.keepRawDays !== keepRawDays) tell.run(KEY, JSON.stringify(now));
      return nowMs >= now.goesAt;
    },
  };
}

/** What is being told; the answer is empty where nothing is. */
export function prepareFirstNotice(db: Connection): () => RecordNote[] {
  if (Number(db.pragma('user_version', { simple: true })) < SINCE_SCHEMA) return () => [];
  const ask = db
    .prepare<[string], string>('SELECT value FROM meta WHERE key = ? AND NOT EXISTS (SELECT 1 FROM letGo)')
    .pluck();
  return () => {
    const told = toldOf(ask.get(KEY));
    return told === null ? [] : [{ kind: 'willLetGo', keepRawDays: told.keepRawDays, goesAt: told.goesAt }];
  };
}

const toldOf = (value: string | undefined): Told | null => (value === undefined ? null : (JSON.parse(value) as Told));
