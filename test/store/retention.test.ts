import { join } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cutOf, planPiece, type RawBlock } from '../../agent/store/retention.ts';
import { batch, openTestRecord } from '../support/record.ts';
import {
  bodyOf,
  DAY_MS,
  dateOf,
  dayBatch,
  FIRST_DAY,
  flipIn,
  folderOfDays,
  sealsIn,
  totalOf,
} from '../support/sealed-days.ts';

const HOUR_MS = 3_600_000;
const at = (day: number) => FIRST_DAY + day * DAY_MS;

/** Opens the record at a moment, lets it do all it may, and closes it. */
function keptFor(dir: string, nowMs: number, keepRawDays: number | null): void {
  const record = openTestRecord(dir, { nowMs: () => nowMs, keepRawDays: () => keepRawDays });
  for (let piece = 0; piece < 100; piece++) record.upkeep();
  record.close();
}

/** Dates that still have raw readings, and how many blocks each. */
function rawIn(dir: string): Record<string, number> {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const rows = db.prepare<[], number>('SELECT fromAt FROM blk ORDER BY fromAt').pluck().all();
  db.close();
  const days: Record<string, number> = {};
  for (const fromAt of rows) {
    const date = new Date(fromAt).toISOString().slice(0, 10);
    days[date] = (days[date] ?? 0) + 1;
  }
  return days;
}

const letGoIn = (dir: string) => {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const row = db.prepare('SELECT beforeMs, readings FROM letGo').get();
  db.close();
  return row;
};

describe('the plan of what may go', () => {
  const anyBlocks = fc.array(fc.record({ gap: fc.nat({ max: 30 }), count: fc.integer({ min: 1, max: 60_000 }) }), {
    minLength: 1,
    maxLength: 80,
  });

  test('takes one UTC day at a time, never what is young, spared or newest, and comes to an end', () => {
    fc.assert(
      fc.property(anyBlocks, fc.nat({ max: 900 }), fc.array(fc.nat({ max: 900 })), (hours, cutHours, spared) => {
        let hour = 0;
        const blocks = hours.map(({ gap, count }, id): RawBlock => {
          hour += gap + 1;
          return { id, fromAt: hour * HOUR_MS + 5, toAt: (hour + 1) * HOUR_MS - 5, count };
        });
        const cutMs = cutOf(cutHours * HOUR_MS, 0)!;
        const spans = spared.map(from => ({ fromMs: from * HOUR_MS, toMs: (from + 2) * HOUR_MS }));
        const gone: RawBlock[] = [];
        for (let from = 0; from < blocks.length; ) {
          const { go, looked } = planPiece(blocks.slice(from), cutMs, spans, blocks.length - 1);
          expect(looked).toBeGreaterThan(0);
          expect(new Set(go.map(block => Math.floor(block.fromAt / DAY_MS))).size).toBeLessThanOrEqual(1);
          gone.push(...go);
          from += looked;
        }
        const wanted = blocks.filter(
          block =>
            block.toAt < cutMs &&
            block.id !== blocks.length - 1 &&
            !spans.some(span => span.fromMs <= block.toAt && span.toMs > block.fromAt),
        );
        expect(gone).toEqual(wanted);
      }),
    );
  });

  test('for ever is told by null, and days are whole', () => {
    expect(cutOf(at(100), null)).toBeNull();
    expect(cutOf(at(100) + 5 * HOUR_MS, 90)).toBe(at(10));
  });
});

describe('raw readings', () => {
  test('go when their days are over; minutes, totals and seals stay', () => {
    const dir = folderOfDays(12);
    const before = openTestRecord(dir);
    const ask = { station: 'shed', quantities: ['inputPowerW' as const], fromMs: at(0), toMs: at(12), points: 2000 };
    const [series, days] = [before.series(ask), before.days('shed', '', '9')];
    before.close();
    keptFor(dir, at(13) + HOUR_MS, 7);
    expect(Object.keys(rawIn(dir))).toEqual([6, 7, 8, 9, 10, 11].map(dateOf));
    expect(letGoIn(dir)).toEqual({ beforeMs: at(6) - 15 * 60_000 + 1, readings: 6 * 96 });
    const record = openTestRecord(dir);
    expect(record.series(ask)).toEqual(series);
    expect(record.days('shed', '', '9')).toEqual(days);
    expect(record.checkSeals()).toEqual([]);
    expect(sealsIn(dir).map(seal => seal.date)).toEqual(Array.from({ length: 12 }, (_, day) => dateOf(day)));
  });

  describe('that would go for the first time', () => {
    const noticeMs = 7 * DAY_MS;
    const upkept = (dir: string, nowMs: number, keepRawDays: number | null = 7) => {
      const options = { nowMs: () => nowMs, keepRawDays: () => keepRawDays, letGoNoticeMs: noticeMs };
      const record = openTestRecord(dir, options);
      for (let piece = 0; piece < 100; piece++) record.upkeep();
      const { notes } = record.savedState();
      record.close();
      return notes;
    };
    const told = (day: number, keepRawDays = 7) => ({ kind: 'willLetGo', keepRawDays, goesAt: at(day) + noticeMs });

    test('stay a week in which that is told, over restarts, also to who only reads; then nothing is told any more', () => {
      const dir = folderOfDays(12);
      expect(upkept(dir, at(13))).toContainEqual(told(13));
      expect(upkept(dir, at(19))).toContainEqual(told(13));
      expect(openTestRecord(dir, { readOnly: true }).savedState().notes).toContainEqual(told(13));
      expect(Object.keys(rawIn(dir))).toHaveLength(12);
      expect(upkept(dir, at(20))).toEqual([]);
      expect(Object.keys(rawIn(dir))[0]).toBe(dateOf(11));
      expect(upkept(dir, at(40))).toEqual([]);
    });

    test('are told of anew where they were to be kept for ever meanwhile, or the clock was ahead', () => {
      const dir = folderOfDays(12);
      upkept(dir, at(3000));
      expect(upkept(dir, at(13))).toContainEqual(told(13));
      expect(upkept(dir, at(14), null)).toEqual([]);
      expect(upkept(dir, at(15), 8)).toContainEqual(told(15, 8));
      expect(Object.keys(rawIn(dir))).toHaveLength(12);
    });

    test('are not spoken of while none is due', () => {
      const dir = folderOfDays(5);
      expect(upkept(dir, at(6))).toEqual([]);
    });
  });

  test('are kept for ever where that is set, or nothing is', () => {
    const dir = folderOfDays(3);
    keptFor(dir, at(3000), null);
    expect(Object.keys(rawIn(dir))).toEqual([0, 1, 2].map(dateOf));
  });

  test('of the newest hour stay, so that a record still knows how it ended', () => {
    const dir = folderOfDays(3);
    const record = openTestRecord(dir);
    const { readings } = dayBatch(3);
    record.commit(batch(readings.slice(0, 2)));
    record.close();
    keptFor(dir, at(3000), 7);
    expect(rawIn(dir)).toEqual({ [dateOf(2)]: 1 });
    expect(openTestRecord(dir).latest('shed')).toEqual(readings[1]);
  });

  test('that prove something stay until nobody needs them', () => {
    const dir = folderOfDays(12);
    const record = openTestRecord(dir);
    const trial = { station: 'shed', why: 'trial 4', fromMs: at(2) + 5.5 * HOUR_MS, toMs: at(2) + 7 * HOUR_MS };
    record.commit(batch([], { evidence: [{ ...trial, droppedAt: null }] }));
    expect(record.evidence('shed')).toEqual([{ ...trial, droppedAt: null }]);
    record.close();
    keptFor(dir, at(13), 7);
    expect(rawIn(dir)).toMatchObject({ [dateOf(2)]: 2, [dateOf(6)]: 24 });
    expect(Object.keys(rawIn(dir))).toHaveLength(7);
    const kept = openTestRecord(dir);
    expect([...kept.readings('shed', trial.fromMs, trial.toMs)].map(r => r.meanOverMs)).toEqual(
      Array(6).fill(undefined),
    );
    kept.commit(batch([], { evidence: [{ ...trial, droppedAt: at(13) }] }));
    expect(kept.evidence('shed')).toEqual([]);
    kept.close();
    keptFor(dir, at(13), 7);
    expect(Object.keys(rawIn(dir))).toHaveLength(6);
  });

  test('whose minutes are not held by the rollups stay', () => {
    const dir = folderOfDays(4);
    const db = new Database(join(dir, 'record.db'));
    db.prepare('DELETE FROM rb WHERE stepMs = 60000 AND startAt = ?').run(at(1));
    db.close();
    keptFor(dir, at(3000), 7);
    expect(rawIn(dir)).toEqual({ [dateOf(1)]: 24, [dateOf(3)]: 1 });
  });

  test.each([
    ['minutes', (dir: string) => flipIn(dir, bodyOf(dir, 'rb', 1).subarray(0, 60), 40)],
    // These the blocks cannot vouch for: what is left to count them anew must not go.
    ['totals', (dir: string) => flipIn(dir, totalOf(1), 5)],
  ])('of a day whose %s no longer match its seal stay, and the day is named', (_what, rot) => {
    const dir = folderOfDays(4);
    keptFor(dir, at(6), null);
    rot(dir);
    keptFor(dir, at(3000), 7);
    expect(rawIn(dir)).toEqual({ [dateOf(1)]: 24, [dateOf(3)]: 1 });
    const record = openTestRecord(dir);
    record.upkeep();
    expect(record.savedState().notes).toContainEqual({ kind: 'brokenDay', station: 'shed', date: dateOf(1) });
  });

  test('that go leave their room to those that come: the file does not grow with the days', () => {
    const dir = folderOfDays(20);
    let now = at(20);
    const record = openTestRecord(dir, { nowMs: () => now, keepRawDays: () => 14 });
    const pages = () => {
      const db = new Database(join(dir, 'record.db'), { readonly: true });
      const count = Number(db.pragma('page_count', { simple: true }));
      db.close();
      return count;
    };
    const sizes: number[] = [];
    for (let day = 20; day < 50; day++) {
      now = at(day + 1);
      record.commit(dayBatch(day));
      for (let piece = 0; piece < 8; piece++) record.upkeep();
      sizes.push(pages());
    }
    // What grows is minutes, totals and seals: a page and a bit a day. A day's blocks would be eight more.
    expect(sizes.at(-1)! - sizes[5]!).toBeLessThan(25 * 2);
    record.close();
    expect(Object.keys(rawIn(dir))).toHaveLength(14);
  });
});
