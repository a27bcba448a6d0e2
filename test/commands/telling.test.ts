import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { startOfDate } from '#energy/civil-day';
import { type FactChange, LedgerDayAnswer, type NoteChange, type SpanChange, StationSettings } from '#messages';
import { createPending } from '../../agent/commands/run/pending.ts';
import { dayDoor } from '../../agent/commands/run/telling/door.ts';
import { batch, freshFolder, openTestRecord, reading } from '../support/record.ts';

const ZONE = 'Europe/Rome';
const HOUR_MS = 3_600_000;
const DATE = '2026-07-03';
const DAY_AT = startOfDate(DATE, ZONE);
const at = (hour: number) => new Date(DAY_AT + hour * HOUR_MS).toISOString();

/** A station told of, at 20:00 of the third of July; its level was read on some minutes. */
function stage({ typed = true, levels = [] as [hour: number, pct: number][] } = {}) {
  const record = openTestRecord(freshFolder());
  let nowMs = DAY_AT + 20 * HOUR_MS;
  const rows = levels.map(([hour, stateOfChargePct], i) =>
    reading(i + 1, { stateOfChargePct }, { at: DAY_AT + hour * HOUR_MS }),
  );
  const days = rows.length === 0 ? [] : [dayOf(DATE)];
  record.commit(batch(rows, { days }));
  const transport = typed ? { kind: 'typed' } : { kind: 'tcp', host: 'shed.local', port: 4000 };
  const settings = v.parse(StationSettings, { id: 'shed', name: 'Honey shed', transport });
  const door = dayDoor({
    record,
    clock: { nowMs: () => nowMs },
    station: () => ({ settings, zone: ZONE }),
    keep: said => record.commit(batch([], said)),
  });
  return {
    record,
    door,
    pass: (hours: number) => {
      nowMs += hours * HOUR_MS;
    },
    note: (change: NoteChange) => door.changeNote('shed', change),
    span: (change: SpanChange) => door.changeSpan('shed', change),
    move: (change: FactChange) => door.moveFact('shed', change),
    day: async (date = DATE) => v.parse(LedgerDayAnswer, await door.day('shed', date)),
  };
}

const dayOf = (date: string) => {
  const startMs = startOfDate(date, ZONE);
  return {
    station: 'shed',
    date,
    zone: ZONE,
    startMs,
    endMs: startMs + 24 * HOUR_MS,
    solarMilliJ: 0,
    inputMilliJ: 0,
    outputMilliJ: 0,
    coveredMs: 1000,
    gapMs: 0,
    solarPeakW: 0,
    stateOfChargeMinPct: null,
    stateOfChargeMaxPct: null,
  };
};
const refused = (act: Promise<unknown>, message: RegExp, path: string) =>
  expect(act).rejects.toMatchObject({ code: 'REQUEST_INVALID', message: expect.stringMatching(message), path });

describe('a note', () => {
  it('is written to a day or a moment of it, put in other words, and removed with its words', async () => {
    const { note, day, record } = stage();
    await note({ do: 'write', date: DATE, text: 'The first swarm.' });
    await note({ do: 'write', date: DATE, at: at(9), text: 'Moved the panels.' });
    expect((await day()).notes.map(n => [n.id, n.at, n.text])).toEqual([
      [1, null, 'The first swarm.'],
      [2, at(9), 'Moved the panels.'],
    ]);
    await note({ do: 'change', note: 1, text: 'The second swarm.' });
    await note({ do: 'change', note: 2, at: null, text: 'Moved them.' });
    expect((await day()).notes.map(n => [n.at, n.text])).toEqual([
      [null, 'The second swarm.'],
      [null, 'Moved them.'],
    ]);
    await note({ do: 'remove', note: 2 });
    await note({ do: 'write', date: DATE, text: 'A third.' });
    expect((await day()).notes.map(n => n.id)).toEqual([1, 3]);
    expect(record.lastNote('shed')).toMatchObject({ id: 3 });
  });

  it('belongs to its day, which is not ahead', async () => {
    const { note } = stage();
    await refused(note({ do: 'write', date: DATE, at: at(25), text: 'x' }), /not on 2026-07-03/, 'at');
    await refused(note({ do: 'write', date: '2026-07-04', text: 'x' }), /lies ahead/, 'date');
    await refused(note({ do: 'change', note: 9, text: 'x' }), /no note 9/, 'note');
  });
});

describe('a span', () => {
  it('begins now and ends now; lent, it tells what the station went with and came back with', async () => {
    const { span, day, pass } = stage({
      levels: [
        [18, 93],
        [19.5, 92],
        [30, 31],
        [31, 55],
      ],
    });
    await span({ do: 'begin', reason: 'lent', note: 'to Ida' });
    const [begun] = (await day()).lasting;
    expect(begun).toEqual({
      reason: 'lent',
      fromAt: at(20),
      toAt: null,
      note: 'to Ida',
      beforePct: 92,
      afterPct: null,
    });
    pass(9);
    await span({ do: 'end', of: { reason: 'lent', fromAt: begun!.fromAt } });
    expect((await day()).lasting).toEqual([]);
    expect((await day('2026-07-04')).spans).toEqual([{ ...begun, toAt: at(29), afterPct: 31 }]);
  });

  it('does not take a level from days before for that of the moment', async () => {
    const { span, day } = stage({ levels: [[-60, 93]] });
    await span({ do: 'begin', reason: 'lent', note: '' });
    expect((await day()).lasting).toMatchObject([{ beforePct: null, afterPct: null }]);
  });

  it('is told afterwards, changed and removed', async () => {
    const { span, day } = stage();
    await span({ do: 'add', reason: 'travelling', fromAt: at(8), toAt: at(11), note: '' });
    const of = { reason: 'travelling' as const, fromAt: at(8) };
    await span({ do: 'change', of, reason: 'lent', fromAt: at(9), toAt: at(12), note: 'to the mill' });
    expect((await day()).spans.map(s => [s.reason, s.fromAt, s.toAt, s.note])).toEqual([
      ['lent', at(9), at(12), 'to the mill'],
    ]);
    await span({ do: 'remove', of: { reason: 'lent', fromAt: at(9) } });
    expect((await day()).spans).toEqual([]);
    await refused(span({ do: 'remove', of }), /no such span/, 'of');
  });

  it('is refused where it ends before it begins, lies ahead or overlaps another place, and says which', async () => {
    const { span } = stage();
    const add = (reason: 'lent' | 'travelling' | 'panelsIn', from: number, to: number | null) =>
      span({ do: 'add', reason, fromAt: at(from), toAt: to === null ? null : at(to), note: '' });
    await refused(add('lent', 9, 9), /end before it begins/, 'toAt');
    await refused(add('lent', 21, null), /begin ahead/, 'fromAt');
    await refused(add('lent', 9, 21), /end lies ahead/, 'toAt');
    await add('lent', 10, 12);
    await refused(add('travelling', 11, 13), /overlaps “lent” from 2026-07-03 10:00 to 2026-07-03 12:00/, 'fromAt');
    await refused(add('travelling', 8, null), /overlaps “lent”/, 'toAt');
    await add('travelling', 12, null);
    await refused(span({ do: 'begin', reason: 'lent', note: '' }), /“travelling” from .* 12:00 and lasts/, 'fromAt');
    await add('panelsIn', 9, null);
  });

  it('of a station that is read is stored only by putting it away, and ended by taking it out', async () => {
    const { span, record } = stage({ typed: false });
    await refused(span({ do: 'begin', reason: 'stored', note: '' }), /cannot be stored/, 'reason');
    record.commit(batch([], { spans: [{ station: 'shed', reason: 'stored', fromMs: DAY_AT, toMs: null, note: '' }] }));
    const of = { reason: 'stored' as const, fromAt: at(0) };
    await refused(span({ do: 'end', of }), /put away/, 'of');
    await refused(span({ do: 'remove', of }), /put away/, 'of');
  });
});

describe('a fact that was true earlier than it was told', () => {
  const facts = (record: ReturnType<typeof stage>['record']) =>
    record.facts('shed').map(f => [f.key, new Date(f.validFromMs).toISOString(), f.valueJson]);

  it('says which days it changes, then moves alone', async () => {
    const { record, move } = stage();
    const june = startOfDate('2026-06-01', ZONE);
    const fact = (key: string, validFromMs: number, valueJson: string) => ({
      station: 'shed',
      key,
      validFromMs,
      valueJson,
    });
    record.commit(
      batch([reading(9, { inputPowerW: 1 }, { at: DAY_AT + HOUR_MS })], {
        facts: [
          fact('ratedWh', june, '1000'),
          fact('ratedWh', DAY_AT + 15 * HOUR_MS, '1500'),
          fact('idleW', june, '9'),
        ],
        days: ['2026-06-30', '2026-07-01', '2026-07-02', DATE].map(dayOf),
      }),
    );
    const change = { key: 'ratedWh' as const, validFromAt: at(15), date: '2026-07-01' };
    const told = { fromDate: '2026-07-01', toDate: DATE, days: 3, wasJson: '1000', becomesJson: '1500' };
    const before = facts(record);
    expect(await move({ ...change, dryRun: true })).toEqual({ ...told, done: false });
    expect(facts(record)).toEqual(before);
    expect(await move({ ...change, dryRun: false })).toEqual({ ...told, done: true });
    expect(facts(record)).toEqual([
      ['idleW', new Date(june).toISOString(), '9'],
      ['ratedWh', new Date(june).toISOString(), '1000'],
      ['ratedWh', new Date(startOfDate('2026-07-01', ZONE)).toISOString(), '1500'],
    ]);
    const back = { key: 'ratedWh' as const, validFromAt: facts(record)[2]![1]!, dryRun: true };
    expect(await move({ ...back, date: '2026-07-02' })).toMatchObject({
      wasJson: '1500',
      becomesJson: '1000',
      days: 1,
    });
    await refused(move({ ...back, date: '2026-06-01' }), /true from 2026-06-01 on/, 'date');
    await refused(move({ ...back, date: '2026-07-04' }), /lies ahead/, 'date');
    const first = { key: 'ratedWh' as const, validFromAt: new Date(june).toISOString(), dryRun: true };
    expect(await move({ ...first, date: '2026-05-01' })).toMatchObject({ days: 0 });
    await refused(move({ ...first, date: '2026-07-02' }), /true from 2026-07-01 on/, 'date');
  });
});

describe('a day', () => {
  it('is 23 and 25 hours long where the clocks change, with its neighbours and what the sky would give', async () => {
    const { record, day } = stage();
    const settings = (key: string, value: unknown) => ({
      station: 'shed',
      key,
      valueJson: JSON.stringify(value),
      validFromMs: 0,
    });
    record.commit(
      batch([reading(1, { inputPowerW: 1 }, { at: DAY_AT })], {
        days: [dayOf('2026-03-20'), dayOf(DATE)],
        facts: [
          settings('place', { latitudeDeg: 45.5, longitudeDeg: 9 }),
          settings('panel', [{ name: 'Field', ratedW: 100, count: 2, tiltDeg: 30, azimuthDeg: 180 }]),
        ],
      }),
    );
    const hours = async (date: string) => {
      const { startAt, endAt } = await day(date);
      return (Date.parse(endAt) - Date.parse(startAt)) / HOUR_MS;
    };
    expect([await hours('2026-03-29'), await hours('2025-10-26'), await hours(DATE)]).toEqual([23, 25, 24]);
    const spring = await day('2026-03-29');
    expect(spring).toMatchObject({ day: null, previous: '2026-03-20', next: DATE, today: DATE });
    expect(spring.clearSky!.powerW).toHaveLength((23 * 60) / 5);
    const { powerW } = (await day()).clearSky!;
    const wattHours = powerW.reduce((sum, watts) => sum + watts / 12, 0);
    expect(Math.max(...powerW)).toBeLessThan(200);
    expect(wattHours).toBeGreaterThan(1000);
    expect(wattHours).toBeLessThan(1700);
  });
});

describe('what the owner told and could not be saved', () => {
  it('is taken out again, and what was held before it stays', () => {
    const pending = createPending();
    const note = { station: 'shed', date: DATE, at: null, text: 'x', writtenAt: 0, takenBackAt: null };
    const span = { station: 'shed', reason: 'lent' as const, fromMs: 1, toMs: null, note: '', takenBackAt: null };
    const first = { notes: [{ ...note, id: 1 }] };
    const second = {
      notes: [{ ...note, id: 2 }],
      toldSpans: [span],
      movedFacts: [{ station: 'shed', key: 'panel', fromMs: 1, toMs: 2 }],
    };
    pending.say(first);
    pending.say(second);
    expect(pending.batch()).toMatchObject({ ...second, notes: [...first.notes, ...second.notes] });
    pending.unsay(second);
    expect(pending.batch()).toMatchObject({ notes: first.notes, toldSpans: [], movedFacts: [] });
    pending.saved();
    expect(pending.batch()).toBeNull();
  });
});

describe('a day that lies wholly in a gap', () => {
  it('is told as one of which nothing is recorded, and days beside each other leave it out', async () => {
    const { record, day } = stage();
    const rows = [-38, 9].map((hour, i) => reading(i + 1, { stateOfChargePct: 50 }, { at: DAY_AT + hour * HOUR_MS }));
    const gap = { ...dayOf('2026-07-02'), coveredMs: 0, gapMs: 24 * HOUR_MS };
    record.commit(batch(rows, { days: [dayOf('2026-07-01'), gap, dayOf(DATE)] }));
    expect((await day('2026-07-02')).day).toBeNull();
    expect((await day(DATE)).day).not.toBeNull();
    expect(await day(DATE)).toMatchObject({ previous: '2026-07-01' });
    expect(await day('2026-07-02')).toMatchObject({ previous: '2026-07-01', next: DATE });
  });
});
