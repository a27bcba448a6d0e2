import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Mark, Spot } from '#messages';
import { connectWriter } from '../../agent/store/connection.ts';
import { MIGRATIONS } from '../../agent/store/migrations/index.ts';
import { folderForRecord } from '../support/older-record.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const spot = (more: Partial<Spot> = {}): Spot => ({
  station: 'shed',
  id: 'step',
  name: 'Step',
  note: '',
  removedAt: null,
  ...more,
});

const mark = (id: number, more: Partial<Mark> = {}): Mark => ({
  station: 'shed',
  id,
  walk: 1,
  letter: 'A',
  at: START_AT + id * 60_000,
  movedAt: START_AT + id * 60_000 - 45_000,
  spot: null,
  againOf: null,
  note: '',
  meanW: 212.4,
  errorW: 1.3,
  seenJson: '{"skyWm2":640}',
  takenBackAt: null,
  ...more,
});

describe('marks and spots', () => {
  test('are kept with the readings of their batch, and the newest word on each stands', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    const rows = batch([reading(1, { inputPowerW: 212 })]);
    record.commit({ ...rows, marks: [mark(1), mark(2, { letter: 'B' })], spots: [spot()] });
    record.commit(batch([], { marks: [mark(1, { spot: 'step', note: 'by the stone' })] }));
    record.commit(batch([], { spots: [spot({ removedAt: START_AT })] }));
    record.close();
    const again = openTestRecord(dir);
    expect(again.marks('shed', 0)).toEqual([mark(1, { spot: 'step', note: 'by the stone' }), mark(2, { letter: 'B' })]);
    expect(again.spots('shed')).toEqual([spot({ removedAt: START_AT })]);
    expect(again.latest('shed')!.seq).toBe(1);
  });

  test('are asked for by walk, with what was taken back; the last one tells how far both have counted', () => {
    const record = openTestRecord(freshFolder());
    expect(record.lastMark('shed')).toBeNull();
    const back = mark(3, { walk: 2, takenBackAt: START_AT });
    record.commit(batch([], { marks: [mark(1), mark(2, { walk: 2 }), back] }));
    expect(record.marks('shed', 2).map(m => m.id)).toEqual([2, 3]);
    expect(record.lastMark('shed')).toEqual(back);
    expect(record.marks('barn', 0)).toEqual([]);
  });

  test('of a batch that cannot be kept are not kept either', () => {
    const record = openTestRecord(freshFolder());
    record.commit(batch([reading(2, { inputPowerW: 1 })]));
    const late = reading(3, { inputPowerW: 1 }, { at: START_AT });
    expect(() => record.commit(batch([late], { marks: [mark(1)], spots: [spot()] }))).toThrow(/before the last one/);
    expect(record.marks('shed', 0)).toEqual([]);
    expect(record.spots('shed')).toEqual([]);
  });

  test('that come again with readings already recorded are still taken', () => {
    const record = openTestRecord(freshFolder());
    const rows = batch([reading(1, { inputPowerW: 1 })]);
    record.commit(rows);
    record.commit({ ...rows, marks: [mark(1)] });
    expect(record.marks('shed', 0)).toHaveLength(1);
  });
});

describe('a record of the third schema', () => {
  test('is brought up with all it holds, and then takes marks', () => {
    const dir = folderForRecord(3);
    const record = openTestRecord(dir);
    expect(record.facts('shed').map(f => f.valueJson)).toEqual(['15']);
    expect(record.learned('shed')).toBe('{"a":1}');
    record.commit(batch([reading(1, { inputPowerW: 1 })], { marks: [mark(1)], spots: [spot()] }));
    expect(record.marks('shed', 0)).toEqual([mark(1)]);
    record.close();
    const db = connectWriter(join(dir, 'record.db'));
    expect(db.pragma('user_version', { simple: true })).toBe(MIGRATIONS.length);
    db.close();
  });

  test('that is only read has neither marks nor spots', () => {
    const dir = folderForRecord(3);
    const record = openTestRecord(dir, { readOnly: true });
    expect(record.marks('shed', 0)).toEqual([]);
    expect(record.spots('shed')).toEqual([]);
    expect(record.lastMark('shed')).toBeNull();
  });
});
