import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addReading, addSeries, emptyHistory, forgetBefore, gapsIn, type History } from '../../web/state/history.ts';
import { keepPast } from '../../web/state/past.ts';
import { EVENING_AT } from '../support/honey-shed.ts';

const T = Date.UTC(2026, 10, 8);
const MINUTE = 60_000;
const answer = (fromMs: number, stepMs: number, values: (number | null)[]) => ({
  station: 'shed',
  startAt: new Date(fromMs).toISOString(),
  stepMs,
  count: values.length,
  columns: { level: { min: values, mean: values, max: values } },
});
const means = (history: History) => history.columns.level!.mean;

describe('the past kept for the drawing', () => {
  it('takes the mean and the highest of the readings of a minute', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    for (const [at, level] of [
      [1000, 40],
      [2000, 60],
      [30_000, 80],
    ] as const)
      addReading(history, T + at, { level });
    expect(means(history)).toEqual([60]);
    expect(history.columns.level!.max).toEqual([80]);
  });

  it('leaves minutes without a reading empty', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addReading(history, T, { level: 50 });
    addReading(history, T + 3 * MINUTE, { level: 48 });
    expect(means(history)).toEqual([50, null, null, 48]);
  });

  it('keeps a missing value missing', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addReading(history, T, { level: null });
    expect(means(history)).toEqual([null]);
  });

  it('ignores what lies before its window', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addReading(history, T - 1, { level: 50 });
    expect(history.count).toBe(0);
  });

  it('lays a finer answer together and spreads a coarser one', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addSeries(history, answer(T, 30_000, [10, 20, null, 40]));
    expect(means(history)).toEqual([15, 40]);
    addSeries(history, answer(T + 2 * MINUTE, 2 * MINUTE, [7]));
    expect(means(history)).toEqual([15, 40, 7, 7]);
  });

  it('does not wipe what is held where the record says nothing yet', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addReading(history, T + 10_000, { level: 50 });
    addSeries(history, answer(T, MINUTE, [null, 60]));
    expect(means(history)).toEqual([50, 60]);
  });

  it('goes on from the record’s value when a reading follows in the same minute', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addSeries(history, answer(T, MINUTE, [50]));
    addReading(history, T + 50_000, { level: 52 });
    expect(means(history)).toEqual([51]);
  });

  it('finds the stretches without readings, also the one that reaches now', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addSeries(history, answer(T, MINUTE, [null, 50, null, null, null, 49]));
    expect(gapsIn(history, 'level', T + 10 * MINUTE, 3 * MINUTE)).toEqual([
      { fromMs: T + 2 * MINUTE, toMs: T + 5 * MINUTE },
      { fromMs: T + 6 * MINUTE, toMs: T + 10 * MINUTE },
    ]);
  });

  it('forgets whole minutes and keeps the rest where it was', () => {
    const history = emptyHistory(T, MINUTE, ['level']);
    addSeries(history, answer(T, MINUTE, [1, 2, 3]));
    forgetBefore(history, T + 1.5 * MINUTE);
    expect([history.startMs - T, means(history)]).toEqual([MINUTE, [2, 3]]);
  });

  it('never makes a value of its own: every mean lies between the least and the highest reading of its minute', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 20 * MINUTE }), fc.double({ min: 0, max: 100, noNaN: true })), {
          maxLength: 60,
        }),
        readings => {
          const history = emptyHistory(T, MINUTE, ['level']);
          for (const [at, level] of readings) addReading(history, T + at, { level });
          means(history).forEach((mean, i) => {
            const inside = readings.filter(([at]) => Math.floor(at / MINUTE) === i).map(([, level]) => level);
            if (inside.length === 0) expect(mean).toBeNull();
            else {
              expect(mean).toBeGreaterThanOrEqual(Math.min(...inside) - 1e-9);
              expect(mean).toBeLessThanOrEqual(Math.max(...inside) + 1e-9);
            }
          });
        },
      ),
    );
  });
});

describe('asking the record', () => {
  const asked: { fromMs: number; toMs: number }[] = [];
  const past = keepPast({
    series: async (station, _quantities, fromMs, toMs) => {
      asked.push({ fromMs, toMs });
      const count = Math.ceil((toMs - fromMs) / MINUTE);
      const values = Array.from({ length: count }, () => 50);
      const column = { min: values, mean: values, max: values };
      const columns = { stateOfChargePct: column, inputPowerW: column, outputPowerW: column };
      return { ok: true, value: { station, startAt: new Date(fromMs).toISOString(), stepMs: MINUTE, count, columns } };
    },
  });

  it('asks for the whole window once, and after a break only for what was missed', async () => {
    await past.load('shed', EVENING_AT);
    await past.load('shed', EVENING_AT + 7 * MINUTE);
    expect(asked[0]!.toMs - asked[0]!.fromMs).toBe(18 * 60 * MINUTE);
    expect(asked[1]).toEqual({ fromMs: EVENING_AT - MINUTE, toMs: EVENING_AT + 7 * MINUTE });
    expect(gapsIn(past.of('shed')!, 'stateOfChargePct', EVENING_AT + 7 * MINUTE, 3 * MINUTE)).toEqual([]);
  });

  it('leaves a gap where the record cannot be asked', async () => {
    const deaf = keepPast({
      series: async () => ({ ok: false, refusal: { code: 'UNREACHABLE', message: '', fix: '' } }),
    });
    await deaf.load('shed', EVENING_AT);
    deaf.add('shed', EVENING_AT, { stateOfChargePct: 50 });
    await deaf.load('shed', EVENING_AT + 10 * MINUTE);
    deaf.add('shed', EVENING_AT + 10 * MINUTE, { stateOfChargePct: 49 });
    expect(gapsIn(deaf.of('shed')!, 'stateOfChargePct', EVENING_AT + 10 * MINUTE, 3 * MINUTE)).toHaveLength(1);
  });
});
