import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Batch } from '#messages';
import { keptOutage } from '../support/outages.ts';
import { batch, dayDelta, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

/** Ten seconds of readings with what they add to their day and where they end. */
function stretch(index: number): Batch {
  const readings = Array.from({ length: 10 }, (_, i) => reading(index * 10 + i + 1, { inputPowerW: index }));
  const last = readings.at(-1)!;
  return batch(readings, {
    days: [dayDelta({ solarMilliJ: index + 1, inputMilliJ: 2 * index, coveredMs: 10_000 })],
    cursors: [{ station: 'shed', session: 's1', seq: last.seq, at: last.at, inputSource: 'sun' }],
    outages: [
      keptOutage({
        startedAt: START_AT,
        endedAt: index > 3 ? last.at : null,
        startPct: 80,
        lowestPct: 80 - index,
        outputMilliJ: index,
        inputMilliJ: 2 * index,
      }),
    ],
  });
}

describe('a batch', () => {
  test('committed again, in any replay of any prefix, counts nothing twice', () => {
    const steps = fc.array(fc.nat({ max: 7 }), { maxLength: 12 });
    fc.assert(
      fc.property(steps, prefixes => {
        const record = openTestRecord(freshFolder());
        const plain = openTestRecord(freshFolder());
        for (let index = 0; index < 8; index++) {
          plain.commit(stretch(index));
          record.commit(stretch(index));
          const upTo = prefixes[index];
          for (let again = 0; upTo !== undefined && again <= Math.min(index, upTo); again++)
            record.commit(stretch(again));
        }
        expect(record.days('shed', '', '9')).toEqual(plain.days('shed', '', '9'));
        expect(record.cursor('shed')).toEqual(plain.cursor('shed'));
        expect(record.outages('shed', 0, START_AT * 2)).toEqual(plain.outages('shed', 0, START_AT * 2));
        expect([...record.readings('shed', 0, START_AT * 2)]).toEqual([...plain.readings('shed', 0, START_AT * 2)]);
        record.close();
        plain.close();
      }),
      { numRuns: 12 },
    );
  }, 60_000);

  test('that is half recorded already is refused whole', () => {
    const record = openTestRecord(freshFolder());
    record.commit(stretch(0));
    const mixed = batch([...stretch(0).readings, ...stretch(1).readings], { days: stretch(1).days });
    expect(() => record.commit(mixed)).toThrow(/10 of 20 readings are recorded already/);
    expect(record.days('shed', '', '9')[0]!.solarMilliJ).toBe(1);
    expect(record.latest('shed')!.seq).toBe(10);
  });

  test('whose clock went back is refused, and nothing of it is kept', () => {
    const record = openTestRecord(freshFolder());
    record.commit(stretch(1));
    const back = batch([reading(1, { inputPowerW: 1 }, { session: 's2', at: START_AT })], {
      days: [dayDelta({ solarMilliJ: 9 })],
    });
    expect(() => record.commit(back)).toThrow(
      expect.objectContaining({ code: 'INTERNAL', message: expect.stringMatching(/before the last one/) }),
    );
    expect(record.days('shed', '', '9')[0]!.solarMilliJ).toBe(2);
    record.commit(batch([reading(1, { inputPowerW: 1 }, { session: 's2', at: START_AT + 60_000 })]));
    expect(record.latest('shed')!.session).toBe('s2');
  });

  test.each([
    ['out of order', [reading(1, {}), reading(2, {}, { at: START_AT })], /before the one ahead/],
    ['with a number twice', [reading(1, {}), reading(1, {}, { at: START_AT + 5000 })], /s1\/1 follows s1\/1/],
    ['without a time', [reading(1, {}, { at: Number.NaN })], /has no place/],
  ])('of readings %s is refused', (_, readings, message) => {
    expect(() => openTestRecord(freshFolder()).commit(batch(readings))).toThrow(message);
  });

  test('with totals but without their readings, or with broken energies, is refused', () => {
    const record = openTestRecord(freshFolder());
    expect(() => record.commit(batch([], { days: [dayDelta()] }))).toThrow(/without their readings/);
    const broken = batch([reading(1, {})], { days: [dayDelta({ solarMilliJ: 0.5 })] });
    expect(() => record.commit(broken)).toThrow(/solarMilliJ of 2026-06-03 is 0.5/);
    expect(record.latest('shed')).toBeNull();
  });

  test('with a value that cannot be stored is refused, and the record stays sound', () => {
    const record = openTestRecord(freshFolder());
    expect(() => record.commit(batch([reading(1, { inputPowerW: Number.NaN })]))).toThrow(
      expect.objectContaining({ code: 'INTERNAL' }),
    );
    expect(() => record.commit(batch([reading(1, { moonPowerW: 1 } as object)]))).toThrow(
      expect.objectContaining({ code: 'INTERNAL', message: expect.stringMatching(/moonPowerW/) }),
    );
    expect(record.savedState().trouble).toBeNull();
    record.commit(batch([reading(1, { inputPowerW: 1 })]));
  });

  test('of several stations goes in whole or not at all', () => {
    const record = openTestRecord(freshFolder());
    const good = reading(1, { inputPowerW: 1 }, { station: 'barn' });
    expect(() => record.commit(batch([good, reading(1, {}, { at: Number.NaN })]))).toThrow();
    expect(record.stations()).toEqual([]);
    record.commit(batch([good, reading(1, {})]));
    expect(record.stations()).toEqual(['barn', 'shed']);
  });
});

describe('plain rows', () => {
  test('energies stay exact over ten years at five kilowatts', () => {
    const record = openTestRecord(freshFolder());
    const most = 5000 * 1000 * 10 * 365 * 86_400;
    record.commit(batch([reading(1, {})], { days: [dayDelta({ outputMilliJ: most })] }));
    record.commit(batch([reading(2, {})], { days: [dayDelta({ outputMilliJ: 1 })] }));
    expect(record.days('shed', '', '9')[0]!.outputMilliJ).toBe(most + 1);
  });

  test('days of 23 and 25 hours are kept as they are', () => {
    const record = openTestRecord(freshFolder());
    const spring = dayDelta({
      date: '2026-03-29',
      startMs: Date.UTC(2026, 2, 28, 23),
      endMs: Date.UTC(2026, 2, 29, 22),
    });
    const autumn = dayDelta({
      date: '2026-10-25',
      startMs: Date.UTC(2026, 9, 24, 22),
      endMs: Date.UTC(2026, 9, 25, 23),
    });
    record.commit(batch([reading(1, {})], { days: [autumn, spring] }));
    const hours = record.days('shed', '2026-01-01', '2026-12-31').map(day => (day.endMs - day.startMs) / 3_600_000);
    expect(hours).toEqual([23, 25]);
  });

  test('an outage is updated until it ends and stays ended', () => {
    const record = openTestRecord(freshFolder());
    const open = keptOutage({ startedAt: 5000, startPct: 90, outputMilliJ: 10 });
    const promise = { promisedAt: 6000, promisedP10At: 20_000, promisedP50At: null };
    const later = { promisedAt: 7000, promisedP10At: 30_000, promisedP50At: 40_000 };
    const ended = { ...open, ...promise, endedAt: 9000, endPct: 70, lowestPct: 64.5, outputMilliJ: 30, floorAt: 8000 };
    record.commit(batch([], { outages: [open] }));
    expect(record.outages('shed', 20_000, 30_000)).toEqual([open]);
    record.commit(batch([], { outages: [ended] }));
    record.commit(batch([], { outages: [{ ...open, ...later, lowestPct: 80, floorAt: 8500 }] }));
    record.commit(batch([], { outages: [open] }));
    expect(record.outages('shed', 0, 10_000)).toEqual([ended]);
    expect(record.outages('shed', 9000, 10_000)).toEqual([]);
  });

  test('facts are dated and a change keeps last year; spans explain gaps', () => {
    const record = openTestRecord(freshFolder());
    const facts = [
      { station: 'shed', key: 'ratedWh', valueJson: '1024', validFromMs: 1000 },
      { station: 'shed', key: 'ratedWh', valueJson: null, validFromMs: 2000 },
    ];
    const lent = { station: 'shed', reason: 'lent' as const, fromMs: 10, toMs: null, note: '' };
    record.commit(batch([], { facts, spans: [lent] }));
    record.commit(batch([], { spans: [{ ...lent, toMs: 500, note: 'to the neighbour' }] }));
    expect(record.facts('shed')).toEqual(facts);
    expect(record.spans('shed', 0, 100)).toEqual([{ ...lent, toMs: 500, note: 'to the neighbour' }]);
    expect(record.spans('shed', 500, 900)).toEqual([]);
  });
});
