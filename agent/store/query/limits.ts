/**
 * What a station itself said to hold its input back, minute by minute, from the readings that are kept: rollups count
 * watts and percents, not words. Blocks whose words do not speak of it are opened no further.
 */
import { INPUT_LIMITS, type RecordQueries } from '#messages';
import { type Limits, openBlock } from '../codec/rows.ts';
import type { Connection } from '../connection.ts';
import type { LayoutShelf } from '../shelf.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const CODES = INPUT_LIMITS.length + 1;

interface BlockRow {
  layout: number;
  body: Buffer;
}

/** The answer may throw CodecError. */
export function prepareLimits(db: Connection, shelf: LayoutShelf): RecordQueries['limits'] {
  const stationId = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  const blocks = db.prepare<[number, number, number, number], BlockRow>(
    'SELECT layout, body FROM blk WHERE station = ? AND fromAt > ? AND fromAt < ? AND toAt >= ?',
  );
  const tail = db.prepare<[number, number, number], BlockRow>(
    'SELECT layout, body FROM tail WHERE station = ? AND fromAt < ? AND toAt >= ?',
  );
  return (station, fromMs, minutes) => {
    const id = stationId.get(station);
    if (id === undefined) return null;
    const toMs = fromMs + minutes * MINUTE_MS;
    const counts = new Uint16Array(minutes * CODES);
    let isTold = false;
    for (const { layout, body } of [...blocks.all(id, fromMs - HOUR_MS, toMs, fromMs), ...tail.all(id, toMs, fromMs)]) {
      const told = openBlock(body, shelf.byId(layout)).limits();
      if (told === null) continue;
      isTold = true;
      count(told, fromMs, minutes, counts);
    }
    return isTold ? mostOf(counts, minutes) : null;
  };
}

/** Adds each row to its minute, under the code of what it says; 0 where it says nothing. */
function count({ at, words, byWord }: Limits, fromMs: number, minutes: number, counts: Uint16Array): void {
  const codes = Uint8Array.from(byWord, limit => (INPUT_LIMITS as readonly unknown[]).indexOf(limit) + 1);
  for (let row = 0; row < at.length; row++) {
    const minute = Math.floor((at[row]! - fromMs) / MINUTE_MS);
    if (minute >= 0 && minute < minutes) counts[minute * CODES + codes[words[row]!]!]!++;
  }
}

/** The code that most readings of each minute have; 0 where none has any. */
function mostOf(counts: Uint16Array, minutes: number): Uint8Array {
  const codes = new Uint8Array(minutes);
  for (let minute = 0; minute < minutes; minute++) {
    let most = 0;
    for (let code = 1; code < CODES; code++) {
      const count = counts[minute * CODES + code]!;
      if (count > most) [codes[minute], most] = [code, count];
    }
  }
  return codes;
}
