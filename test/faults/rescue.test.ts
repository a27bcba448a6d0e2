import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { hasDamageSign, leaveDamageSign } from '../../agent/store/keep/damage.ts';
import { rescueRecord } from '../../agent/store/keep/rescue.ts';
import { destroy, makeNoisy, PAGE, pagesIn, rootOf } from '../support/damage.ts';
import { seededRandom } from '../support/kill-rounds.ts';
import { HOUR_MS, letGo, rawBefore, wholeFolder } from '../support/let-go.ts';
import { batch, freshFolder, openTestRecord, START_AT } from '../support/record.ts';
import { DAY_MS as DAY, FIRST_DAY, folderOfDays, tended } from '../support/sealed-days.ts';

const NOW = START_AT * 1.01;

const kept = mkdtempSync(join(tmpdir(), 'wattkeep-noisy-'));
const noisy = join(kept, 'data');
let total = 0;
beforeAll(() => {
  total = makeNoisy(noisy, 8);
});
afterAll(() => rmSync(kept, { recursive: true }));

/** A copy of one record of eight days. */
function copied(): { dir: string; readings: number } {
  const dir = freshFolder();
  cpSync(noisy, dir, { recursive: true });
  return { dir, readings: total };
}

const countIn = (dir: string): number => {
  const record = openTestRecord(dir);
  expect(record.check()).toEqual([]);
  const count = [...record.readings('shed', 0, NOW * 2)].filter(r => r.meanOverMs === undefined).length;
  record.close();
  return count;
};

describe('a damaged record of which readings were let go', () => {
  const minutesIn = (dir: string) => {
    const record = openTestRecord(dir, { readOnly: true });
    const ask = { station: 'shed', quantities: ['inputPowerW' as const], fromMs: FIRST_DAY, toMs: FIRST_DAY + 2 * DAY };
    const found = {
      minutes: record.series({ ...ask, points: 2880 }).columns,
      quarters: record.series({ ...ask, points: 192 }).columns,
    };
    record.close();
    return found;
  };

  test.each(['rb', 'blk', 'sqlite_autoindex_rb_1'])('keeps its minutes where the root of %s is destroyed', table => {
    const dir = folderOfDays(36);
    const nowMs = FIRST_DAY + 38 * DAY;
    const record = openTestRecord(dir, { nowMs: () => nowMs, keepRawDays: () => 10 });
    for (let piece = 0; piece < 120; piece++) record.upkeep();
    const told = [...record.readings('shed', 0, nowMs)];
    const extent = record.extent('shed');
    record.close();
    const wentBefore = FIRST_DAY + 28 * DAY;
    expect(rawBefore(dir, wentBefore)).toBe(0);
    destroy(dir, [rootOf(dir, table)]);
    rescueRecord(dir, ['shed'], NOW);
    // Pages that are no longer used still hold what went: it does not come back.
    expect(rawBefore(dir, wentBefore)).toBe(0);
    const rescued = openTestRecord(dir);
    expect(rescued.extent('shed')).toEqual(extent);
    expect(rescued.checkSeals()).toEqual([]);
    expect([...rescued.readings('shed', 0, nowMs)]).toEqual(told);
  });

  test('whose minutes of one day are lost makes no others of what little evidence is left there', () => {
    const dir = wholeFolder();
    const record = openTestRecord(dir);
    const fromMs = FIRST_DAY + 9 * HOUR_MS;
    record.commit(
      batch([], { evidence: [{ station: 'shed', why: 'trial', fromMs, toMs: fromMs + HOUR_MS, droppedAt: null }] }),
    );
    record.close();
    letGo(dir);
    const before = minutesIn(dir);
    const db = new Database(join(dir, 'record.db'));
    db.prepare('DELETE FROM rb WHERE stepMs = 60000 AND startAt = ?').run(FIRST_DAY);
    db.close();
    destroy(dir, [rootOf(dir, 'seal')]);
    rescueRecord(dir, ['shed'], NOW);
    const after = minutesIn(dir);
    // Quarter-hours stand as they were; the one hour of evidence has its minutes again.
    expect(after.quarters).toEqual(before.quarters);
    expect(after.minutes.inputPowerW!.mean.slice(540, 600)).toEqual(before.minutes.inputPowerW!.mean.slice(540, 600));
    expect(after.minutes.inputPowerW!.mean.slice(1440)).toEqual(before.minutes.inputPowerW!.mean.slice(1440));
  });
});

describe('a damaged record', () => {
  test('is kept as it was, and all rows of its other pages are in a fresh one, whichever page is destroyed', () => {
    const seed = Date.now() % 2 ** 31;
    console.log(`destroyed pages: seed ${seed}`);
    const random = seededRandom(seed);
    let worst = 1;
    for (let round = 0; round < 4; round++) {
      const { dir, readings } = copied();
      const page = 2 + Math.floor(random() * (pagesIn(dir) - 1));
      const bytes = destroy(dir, [page]);
      const rescued = rescueRecord(dir, ['shed'], NOW);
      const kept = join(dir, rescued.keptAs);
      expect(readFileSync(kept).equals(bytes)).toBe(true);
      expect(statSync(kept).mode & 0o777).toBe(0o600);
      expect(statSync(join(dir, 'record.db')).mode & 0o777).toBe(0o600);
      expect(readdirSync(dir).sort()).toEqual(
        [rescued.keptAs, 'closed.txt', 'lock.db', 'lock.txt', 'record.db'].sort(),
      );
      const found = countIn(dir);
      expect(found).toBe(rescued.readings);
      worst = Math.min(worst, found / readings);
    }
    // 96 hours: three of them may have lain in the page itself.
    expect(worst).toBeGreaterThanOrEqual(1 - 3 / 96);
  });

  test.each(['blk', 'rb', 'station', 'layout', 'day', 'tail'])(
    'loses no reading where the root of %s is destroyed',
    table => {
      const { dir, readings } = copied();
      destroy(dir, [rootOf(dir, table)]);
      rescueRecord(dir, ['shed'], NOW);
      // Of what is open only one page exists.
      expect(countIn(dir)).toBeGreaterThanOrEqual(table === 'tail' ? readings - 400 : readings);
      const record = openTestRecord(dir);
      expect(record.stations()).toEqual(['shed']);
      const series = record.series({
        station: 'shed',
        quantities: ['inputPowerW'],
        fromMs: FIRST_DAY,
        toMs: FIRST_DAY + 6 * 86_400_000,
        points: 300,
      });
      expect(series.columns.inputPowerW!.mean.filter(value => value !== null).length).toBeGreaterThan(80);
    },
  );

  test('whose first page is destroyed still gives its readings', () => {
    const { dir, readings } = copied();
    destroy(dir, [1]);
    rescueRecord(dir, ['shed'], NOW);
    expect(countIn(dir)).toBeGreaterThanOrEqual(readings - 400);
  });

  test('has what the owner wrote on both sides of a destroyed page', () => {
    const { dir } = copied();
    const record = openTestRecord(dir);
    const note = (id: number) => ({
      station: 'shed',
      id,
      date: '2026-07-10',
      at: null,
      text: `Frame ${id} of the hives, ${'looked through '.repeat(4)}`,
      writtenAt: NOW,
      takenBackAt: null,
    });
    record.commit(batch([], { notes: Array.from({ length: 400 }, (_, i) => note(i + 1)) }));
    record.close();
    const WRITTEN = 'Frame 200 of the hives';
    const bytes = readFileSync(join(dir, 'record.db'));
    const pages = new Set<number>();
    for (let at = bytes.indexOf(WRITTEN); at >= 0; at = bytes.indexOf(WRITTEN, at + 1))
      pages.add(Math.floor(at / PAGE) + 1);
    destroy(dir, [...pages]);
    rescueRecord(dir, ['shed'], NOW);
    const left = openTestRecord(dir)
      .notes('shed', '', '9')
      .map(({ id }) => id);
    expect(left).not.toContain(200);
    expect([left.at(0), left.at(-1)]).toEqual([1, 400]);
    // Of some pages with thirty on each.
    expect(left.length).toBeGreaterThan(300);
  });

  test('names the days that lost something, by their seals', () => {
    const { dir } = copied();
    tended(dir, FIRST_DAY + 30 * 86_400_000).close();
    const before = openTestRecord(dir);
    expect(before.checkSeals()).toEqual([]);
    before.close();
    let lost = 0;
    for (let page = Math.floor(pagesIn(dir) / 2); lost === 0; page++) {
      const trial = freshFolder();
      cpSync(dir, trial, { recursive: true });
      destroy(trial, [page]);
      lost = rescueRecord(trial, ['shed'], NOW).lostBlocks;
      if (lost === 0) continue;
      const record = openTestRecord(trial);
      const named = record.checkSeals();
      expect(named.length).toBeGreaterThanOrEqual(1);
      expect(named.length).toBeLessThanOrEqual(3);
    }
  });

  test('is told of for a week in the notes of the record, and its sign goes', () => {
    const { dir } = copied();
    destroy(dir, [30]);
    leaveDamageSign(dir, 'page 30');
    expect(() => openTestRecord(dir)).toThrow(expect.objectContaining({ code: 'RECORD_DAMAGED' }));
    const rescued = rescueRecord(dir, ['shed'], NOW);
    expect(hasDamageSign(dir)).toBe(false);
    const note = (nowMs: number) => {
      const record = openTestRecord(dir, { nowMs: () => nowMs });
      const { notes } = record.savedState();
      record.close();
      return notes;
    };
    expect(note(NOW + 1)).toContainEqual({ kind: 'rescued', ...rescued });
    expect(note(NOW + 8 * 86_400_000)).not.toContainEqual({ kind: 'rescued', ...rescued });
  });

  test('is not touched while an agent writes it', () => {
    const { dir } = copied();
    const record = openTestRecord(dir);
    expect(() => rescueRecord(dir, ['shed'], NOW)).toThrow(expect.objectContaining({ code: 'DATA_BUSY' }));
    expect(record.check()).toEqual([]);
  });
});
