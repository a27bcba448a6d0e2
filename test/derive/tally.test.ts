import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { startOfDate } from '#energy/civil-day';
import { MILLIJ_PER_WH } from '#energy/integrate';
import { createTally, type DayAddition } from '../../agent/derive/tally.ts';
import { reading } from './readings.ts';

const ZONE = 'Europe/Berlin';
const NOON = Date.parse('2026-06-01T10:00:00Z');

const sums = (days: DayAddition[]) => {
  const total = { solar: 0, input: 0, output: 0, covered: 0, gap: 0 };
  for (const d of days) {
    total.solar += d.solarMilliJ;
    total.input += d.inputMilliJ;
    total.output += d.outputMilliJ;
    total.covered += d.coveredMs;
    total.gap += d.gapMs;
  }
  return total;
};

describe('the tally', () => {
  it('gathers 1 Wh from 3600 W held one second, counted once', () => {
    const tally = createTally(1000, null);
    const days = [0, 1000].flatMap(ms => tally.add(reading({ at: NOON + ms, inputW: 3600 }), 3600, ZONE).days);
    expect(sums(days)).toEqual({ solar: MILLIJ_PER_WH, input: MILLIJ_PER_WH, output: 0, covered: 1000, gap: 0 });
  });

  it('counts the energy that was lived through while the record waits for a clock that was ahead', () => {
    const tally = createTally(1000, null);
    const days = [0, 1000, 2000].flatMap(
      monoMs => tally.add(reading({ at: NOON + monoMs / 2, monoMs, inputW: 3600 }), 3600, ZONE).days,
    );
    expect(sums(days)).toEqual({
      solar: 2 * MILLIJ_PER_WH,
      input: 2 * MILLIJ_PER_WH,
      output: 0,
      covered: 1000,
      gap: 0,
    });
  });

  it('adds nothing over a gap and names it', () => {
    const tally = createTally(1000, null);
    tally.add(reading({ at: NOON, inputW: 500 }), 500, ZONE);
    const { days, gap } = tally.add(reading({ at: NOON + 11_000, inputW: 500 }), 500, ZONE);
    expect(sums(days)).toEqual({ solar: 0, input: 0, output: 0, covered: 0, gap: 11_000 });
    expect(gap).toEqual({ fromMs: NOON, toMs: NOON + 11_000, reason: 'noReading' });
  });

  it('takes the time the agent was down as a gap, however short', () => {
    const tally = createTally(1000, NOON);
    const { days, gap } = tally.add(reading({ at: NOON + 4000, monoMs: 100, inputW: 500 }), 500, ZONE);
    expect(sums(days)).toMatchObject({ input: 0, covered: 0, gap: 4000 });
    expect(gap).toBeNull();
    const later = createTally(1000, NOON).add(reading({ at: NOON + 60_000, monoMs: 100 }), null, ZONE);
    expect(later.gap?.reason).toBe('agentDown');
  });

  it('never joins two sessions', () => {
    const tally = createTally(1000, null);
    tally.add(reading({ at: NOON, inputW: 500 }), 500, ZONE);
    const { days } = tally.add(reading({ at: NOON + 1000, session: 's2', inputW: 500 }), 500, ZONE);
    expect(sums(days)).toMatchObject({ input: 0, covered: 0, gap: 1000 });
  });

  it('counts what is said while the other power is missing, and that time as a gap', () => {
    const without = (ms: number, reason: 'notAvailable' | 'notGiven') =>
      reading({
        at: NOON + ms,
        quantities: { inputPowerW: null, outputPowerW: 3600, stateOfChargePct: 50 },
        reasons: { inputPowerW: reason },
      });
    const lived = (reason: 'notAvailable' | 'notGiven') => {
      const tally = createTally(1000, null);
      return sums([0, 1000].flatMap(ms => tally.add(without(ms, reason), null, ZONE).days));
    };
    expect(lived('notAvailable')).toEqual({ solar: 0, input: 0, output: MILLIJ_PER_WH, covered: 0, gap: 1000 });
    // A source that never tells its input has no gap there.
    expect(lived('notGiven')).toEqual({ solar: 0, input: 0, output: MILLIJ_PER_WH, covered: 1000, gap: 0 });
  });

  it('leaves out bad readings on both sides', () => {
    const tally = createTally(1000, null);
    tally.add(reading({ at: NOON, inputW: 500 }), 500, ZONE);
    tally.add(reading({ at: NOON + 1000, inputW: 500, quality: 'bad' }), 500, ZONE);
    const { days } = tally.add(reading({ at: NOON + 2000, inputW: 500 }), 500, ZONE);
    expect(sums(days)).toMatchObject({ input: 0, gap: 1000 });
  });

  it('counts no harvest from input of unknown source, and still counts the input', () => {
    const tally = createTally(1000, null);
    tally.add(reading({ at: NOON, inputW: 500 }), null, ZONE);
    const { days } = tally.add(reading({ at: NOON + 1000, inputW: 500 }), null, ZONE);
    expect(sums(days)).toMatchObject({ solar: 0, input: 500_000, covered: 1000 });
  });

  it('takes a clock set forward by an hour as an hour nobody lived through', () => {
    const tally = createTally(1000, null);
    tally.add(reading({ at: NOON, monoMs: 0, inputW: 500 }), 500, ZONE);
    const { days } = tally.add(reading({ at: NOON + 3_601_000, monoMs: 1000, inputW: 500 }), 500, ZONE);
    expect(sums(days)).toMatchObject({ input: 500_000, covered: 1000, gap: 3_600_000 });
  });

  it('shares a pair over midnight between its two days', () => {
    const midnight = startOfDate('2026-06-02', ZONE);
    const tally = createTally(1000, null);
    tally.add(reading({ at: midnight - 1000, inputW: 100 }), null, ZONE);
    const { days } = tally.add(reading({ at: midnight + 3000, inputW: 100 }), null, ZONE);
    expect(days.map(d => [d.date, d.inputMilliJ, d.coveredMs])).toEqual([
      ['2026-06-01', 100_000, 1000],
      ['2026-06-02', 300_000, 3000],
    ]);
  });

  it.each([
    ['2026-03-29', 23],
    ['2026-10-25', 25],
  ])('covers all %s, a day of %i hours', (date, hours) => {
    const start = startOfDate(date, ZONE);
    const tally = createTally(60_000, null);
    const days: DayAddition[] = [];
    for (let i = 0; i <= hours * 60; i++) {
      const at = start + i * 60_000;
      days.push(...tally.add(reading({ at, inputW: 60 }), 60, ZONE).days);
    }
    expect(sums(days.filter(d => d.date === date))).toEqual({
      solar: hours * 60 * MILLIJ_PER_WH,
      input: hours * 60 * MILLIJ_PER_WH,
      output: 0,
      covered: hours * 3_600_000,
      gap: 0,
    });
  });

  it('covers and gaps exactly the time elapsed, and never more energy than its highest power could bring', () => {
    const step = fc.record({
      ms: fc.integer({ min: 0, max: 40_000 }),
      inputW: fc.integer({ min: 0, max: 1000 }),
      bad: fc.boolean(),
      restart: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(step, { minLength: 2, maxLength: 60 }), steps => {
        const tally = createTally(5000, null);
        let at = startOfDate('2026-10-25', ZONE) - 100_000;
        const first = at;
        let session = 0;
        const days: DayAddition[] = [];
        steps.forEach((s, i) => {
          if (i > 0) at += s.ms;
          if (s.restart) session++;
          const r = reading({ at, session: `s${session}`, inputW: s.inputW, quality: s.bad ? 'bad' : 'good' });
          days.push(...tally.add(r, s.inputW, ZONE).days);
        });
        const total = sums(days);
        expect(total.covered + total.gap).toBe(at - first);
        expect(total.input).toBeLessThanOrEqual(1000 * total.covered + steps.length);
      }),
    );
  });
});
