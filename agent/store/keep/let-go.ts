/**
 * Lets raw readings go whose time is over, a small piece a call: some hours of one day of one station, in a transaction of
 * its own. A block goes only if it passes its checksum, its minutes and quarter-hours are held by the stored rollups, and the
 * seals of its days still match; what does not stays, and is tried again the next day.
 */
import type { Connection } from '../kept.ts';
import { cutOf, planPiece, type RawBlock, type Span } from '../retention.ts';
import { openShelf } from '../shelf.ts';
import type { BrokenDay, DaySeals } from './day-seals.ts';
import { prepareHeld } from './held-minutes.ts';

/** Blocks looked at in a piece, without their bodies. */
const LOOK_BLOCKS = 64;

export interface LettingGo {
  /** `looked`: there may be more to do. `broken`: days newly or still found broken, whose readings stay. */
  piece(nowMs: number, keepRawDays: number | null): { looked: boolean; gone: number; broken: BrokenDay[] };
}

export function openLettingGo(db: Connection, seals: DaySeals): LettingGo {
  const heldOf = prepareHeld(db, openShelf(db));
  const stations = db.prepare<[], number>('SELECT id FROM station ORDER BY id').pluck();
  const blocks = db.prepare<[number, number, number, number, number], RawBlock>(`SELECT id, fromAt, toAt, count FROM blk
    WHERE station = ? AND (fromAt, id) > (?, ?) AND fromAt < ? ORDER BY fromAt, id LIMIT ?`);
  const newest = db
    .prepare<[number], number>('SELECT id FROM blk WHERE station = ? ORDER BY fromAt DESC, id DESC LIMIT 1')
    .pluck();
  const evidence = db.prepare<[number], Span>(
    'SELECT fromMs, toMs FROM evidence WHERE station = ? AND droppedAt IS NULL',
  );
  const remove = db.prepare('DELETE FROM blk WHERE id = ?');
  const count = db.prepare(`INSERT INTO letGo (station, beforeMs, readings)
    VALUES (@station, cast(@beforeMs AS INT), cast(@readings AS INT))
    ON CONFLICT (station) DO UPDATE SET readings = readings + excluded.readings,
      beforeMs = max(beforeMs, excluded.beforeMs)`);
  /** Behind which block of a station to go on; all anew when another day may go. */
  const places = new Map<number, Pick<RawBlock, 'fromAt' | 'id'>>();
  let cutBefore: number | null = null;

  const letGo = (station: number, nowMs: number, cutMs: number) => {
    const place = places.get(station) ?? { fromAt: Number.MIN_SAFE_INTEGER, id: -1 };
    const rows = blocks.all(station, place.fromAt, place.id, cutMs, LOOK_BLOCKS);
    if (rows.length === 0) return null;
    const { go, looked } = planPiece(rows, cutMs, evidence.all(station), newest.get(station) ?? -1);
    const broken = go.length === 0 ? [] : seals.checkWithin(station, go[0]!.fromAt, go.at(-1)!.toAt, nowMs);
    const held = broken.length > 0 ? null : heldOf(go.map(block => block.id));
    const gone = go.filter(block => held?.has(block.id) === true);
    for (const { id } of gone) remove.run(id);
    if (gone.length > 0) {
      const readings = gone.reduce((sum, block) => sum + block.count, 0);
      count.run({ station, readings, beforeMs: Math.max(...gone.map(block => block.toAt)) + 1 });
    }
    return { last: rows[looked - 1]!, gone: gone.length, broken };
  };

  return {
    piece(nowMs, keepRawDays) {
      const cutMs = cutOf(nowMs, keepRawDays);
      if (cutMs !== cutBefore) places.clear();
      cutBefore = cutMs;
      if (cutMs === null) return { looked: false, gone: 0, broken: [] };
      for (const station of stations.all()) {
        const done = db.transaction(() => letGo(station, nowMs, cutMs)).immediate();
        if (done === null) continue;
        places.set(station, done.last);
        return { looked: true, gone: done.gone, broken: done.broken };
      }
      return { looked: false, gone: 0, broken: [] };
    },
  };
}
