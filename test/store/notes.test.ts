import { describe, expect, test } from 'vitest';
import type { Note, ToldSpan } from '#messages';
import { folderForRecord } from '../support/older-record.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const note = (id: number, more: Partial<Note> = {}): Note => ({
  station: 'shed',
  id,
  date: '2026-06-03',
  at: null,
  text: 'The first swarm.',
  writtenAt: START_AT,
  takenBackAt: null,
  ...more,
});
const span = (more: Partial<ToldSpan> = {}): ToldSpan => ({
  station: 'shed',
  reason: 'lent',
  fromMs: START_AT,
  toMs: null,
  note: '',
  takenBackAt: null,
  ...more,
});

describe('notes of days', () => {
  test('are asked for by date, the newest word on each stands, and a removed one is told no more', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    const later = note(2, { at: START_AT + 60_000, text: 'Moved the panels.' });
    record.commit(
      batch([reading(1, { inputPowerW: 1 })], { notes: [note(1), later, note(3, { date: '2026-06-05' })] }),
    );
    record.commit(batch([], { notes: [note(1, { text: 'The second swarm.' })] }));
    record.commit(batch([], { notes: [note(3, { text: '', takenBackAt: START_AT })] }));
    record.close();
    const again = openTestRecord(dir);
    expect(again.notes('shed', '2026-06-03', '2026-06-03')).toEqual([note(1, { text: 'The second swarm.' }), later]);
    expect(again.notes('shed', '2026-06-04', '9')).toEqual([]);
    expect(again.lastNote('shed')).toMatchObject({ id: 3, text: '' });
    expect(again.lastNote('barn')).toBeNull();
  });

  test('are none in a record of an older schema that is only read', () => {
    const record = openTestRecord(folderForRecord(4), { readOnly: true });
    expect([record.notes('shed', '', '9'), record.lastNote('shed')]).toEqual([[], null]);
    expect(record.spans('shed', 0, START_AT * 2)).toEqual(expect.any(Array));
  });
});

describe('spans and facts that the owner puts right', () => {
  test('a told span replaces what was said of it: an end can be taken away, and the span with it', () => {
    const record = openTestRecord(freshFolder());
    const said = () => record.spans('shed', START_AT, START_AT + 1).map(s => [s.toMs, s.note]);
    record.commit(batch([], { toldSpans: [span({ toMs: START_AT + 9000, note: 'to Ida' })] }));
    expect(said()).toEqual([[START_AT + 9000, 'to Ida']]);
    record.commit(batch([], { toldSpans: [span({ note: 'to Ida' })] }));
    expect(said()).toEqual([[null, 'to Ida']]);
    record.commit(batch([], { toldSpans: [span({ takenBackAt: START_AT })] }));
    expect(said()).toEqual([]);
  });

  test('a fact moves to another date and leaves every other one as it was', () => {
    const record = openTestRecord(freshFolder());
    const fact = (key: string, validFromMs: number, valueJson: string) => ({
      station: 'shed',
      key,
      validFromMs,
      valueJson,
    });
    record.commit(batch([], { facts: [fact('ratedWh', 10, '1'), fact('ratedWh', 50, '2'), fact('panel', 50, '[]')] }));
    record.commit(batch([], { movedFacts: [{ station: 'shed', key: 'ratedWh', fromMs: 50, toMs: 30 }] }));
    // Onto the other one: nothing happens, rather than one of them going.
    record.commit(batch([], { movedFacts: [{ station: 'shed', key: 'ratedWh', fromMs: 30, toMs: 10 }] }));
    expect(record.facts('shed').map(f => [f.key, f.validFromMs, f.valueJson])).toEqual([
      ['panel', 50, '[]'],
      ['ratedWh', 10, '1'],
      ['ratedWh', 30, '2'],
    ]);
  });
});
