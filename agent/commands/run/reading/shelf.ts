/**
 * The record that is being read, opened once for many questions. A folder may get another file meanwhile (the demo is
 * made anew): the file is looked at before each question, and the old one is closed with the last question to it.
 */
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { type OpenedRecord, openRecord } from '../../../store/open.ts';
import type { ReadOrder } from './order.ts';

interface Held {
  key: string;
  record: OpenedRecord;
  users: number;
}

export interface Lent {
  readonly record: OpenedRecord;
  /** Idempotent. */
  giveBack(): void;
}

/** @returns lends the record of an order; throws WattkeepError where it cannot be opened */
export function recordShelf(): (order: ReadOrder) => Lent {
  let newest: Held | null = null;
  const closeIdle = (held: Held) => {
    if (held.users === 0 && held !== newest) held.record.close();
  };
  return ({ dir, demo, nowMs }) => {
    const key = `${dir} ${fileOf(dir)}`;
    let held: Held;
    if (newest?.key === key) held = newest;
    else {
      const record = openRecord(dir, { nowMs: () => nowMs, commitIntervalMs: 0, readOnly: true, demo });
      const before = newest;
      held = { key, record, users: 0 };
      newest = held;
      if (before !== null) closeIdle(before);
    }
    held.users++;
    let lent = true;
    return {
      record: held.record,
      giveBack() {
        if (!lent) return;
        lent = false;
        held.users--;
        closeIdle(held);
      },
    };
  };
}

/** Which file it is; openRecord says what to do where there is none. */
function fileOf(dir: string): string {
  const file = statSync(join(dir, 'record.db'), { throwIfNoEntry: false });
  return file === undefined ? '' : `${file.dev}:${file.ino}`;
}
