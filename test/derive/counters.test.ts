/** A station's own running totals: what is believed of them, to which day it goes, and what stands for a gap. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { startOfDate } from '#energy/civil-day';
import { MILLIJ_PER_WH } from '#energy/integrate';
import type { Quantities, Reading } from '#kit';
import type { BridgeFound, CountedAddition } from '../../agent/derive/counted.ts';
import { addCounted } from '../../agent/derive/counted.ts';
import { createCounters } from '../../agent/derive/counters.ts';
import { createStamper } from '../../agent/derive/stamp.ts';
import { stationFacts } from '../support/station-facts.ts';
import { reading } from './readings.ts';

const ZONE = 'Europe/Berlin';
const NOON = Date.parse('2026-06-01T10:00:00Z');
const SECOND_MS = 1000;
const HOUR_MS = 3_600_000;
const FACTS = stationFacts({
  intervalMs: SECOND_MS,
  zone: ZONE,
  ratedWh: 1024,
  panels: [{ ratedW: 400 }],
  solarMaxW: 500,
});

/** One reading of a station that counts what comes from the sun. */
const told = (at: number, solarEnergyWh: number | null, solarW: number | null = 360, over: Partial<Reading> = {}) =>
  ({
    reading: reading({ at, quantities: { solarPowerW: solarW, solarEnergyWh } as Quantities, ...over }),
    solarW,
  }) as const;

interface Followed {
  days: Map<string, CountedAddition>;
  bridges: BridgeFound[];
}

function follow(
  all: readonly { reading: Reading; solarW: number | null }[],
  facts = FACTS,
  counters = createCounters([], null),
): Followed {
  const days = new Map<string, CountedAddition>();
  const bridges: BridgeFound[] = [];
  for (const one of all) {
    const { counted, bridges: found } = counters.add(one.reading, one.solarW, facts);
    bridges.push(...found);
    for (const part of counted) {
      const key = `${part.date} ${part.quantity}`;
      const before = days.get(key);
      days.set(key, before === undefined ? part : addCounted(before, part));
    }
  }
  return { days, bridges };
}

const wh = (milliJ: number | null | undefined) => (milliJ == null ? milliJ : milliJ / MILLIJ_PER_WH);
const day = ({ days }: Followed, date = '2026-06-01', quantity = 'solarEnergyWh') => days.get(`${date} ${quantity}`);
/** A second each, at 360 W: a tenth of a watt-hour. */
const seconds = (from: number, to: number, startWh = 1000, stepWh = 0.1) =>
  Array.from({ length: to - from + 1 }, (_, i) => {
    const counts = Math.floor(((from + i) * 0.1) / stepWh + 1e-9) * stepWh;
    return told(NOON + (from + i) * SECOND_MS, Number((startWh + counts).toFixed(1)));
  });

describe('counters of a station', () => {
  it('count a day beside what its watts add up to, over the same time', () => {
    const followed = follow(seconds(0, 100));
    expect(followed.bridges).toEqual([]);
    const counted = day(followed)!;
    expect([counted.countedMilliJ, counted.comparedMilliJ, counted.integratedMilliJ].map(wh)).toEqual([10, 10, 10]);
    expect(counted).toMatchObject({ stretches: 1, flowMs: 100_000, lastMilliWh: 1_010_000, stepMilliWh: 100 });
  });

  it('counts nothing at the first value, and a day on which a counter stood still is zero, not unknown', () => {
    expect(wh(day(follow([told(NOON, 512.3)]))?.countedMilliJ)).toBe(0);
    expect(day(follow([told(NOON, null)]))).toBeUndefined();
  });

  it('bridge a gap in one block that no day holds', () => {
    const later = seconds(3600, 3610, 1000).map(({ reading: r, solarW }) => ({
      reading: { ...r, session: 's2' },
      solarW,
    }));
    const followed = follow([...seconds(0, 10), ...later]);
    expect(followed.bridges).toMatchObject([
      {
        quantity: 'solarEnergyWh',
        cause: 'counted',
        fromAt: NOON + 10_000,
        toAt: NOON + HOUR_MS,
        gapMs: HOUR_MS - 10_000,
      },
    ]);
    expect(wh(followed.bridges[0]!.milliJ)).toBe(359);
    expect(wh(day(followed)!.countedMilliJ)).toBe(2);
    expect(day(followed)!.stretches).toBe(2);
  });

  it('bridge the time the agent was away from where the record left off, over midnight too', () => {
    const ends = [day(follow(seconds(0, 10)))!];
    const counters = createCounters(ends, NOON + 10_000);
    const at = NOON + 40 * HOUR_MS;
    const followed = follow(
      [told(at, 1801), told(at + SECOND_MS, 1801.1)].map(one => ({
        ...one,
        reading: { ...one.reading, session: 's9', monoMs: one.reading.at - at },
      })),
      FACTS,
      counters,
    );
    expect(followed.bridges).toMatchObject([{ fromAt: NOON + 10_000, toAt: at, milliJ: 800 * MILLIJ_PER_WH }]);
    expect([...followed.days.values()].map(({ date, countedMilliJ }) => [date, wh(countedMilliJ)])).toEqual([
      ['2026-06-03', 0.1],
    ]);
  });

  it('takes a reconnection of seconds for no gap: what was counted is of that day', () => {
    const again = told(NOON + 13_000, 1001.3, 360, { session: 's2', monoMs: 7 });
    const followed = follow([...seconds(0, 10), again]);
    expect(followed.bridges).toEqual([]);
    expect(wh(day(followed)!.countedMilliJ)).toBe(1.3);
    // Nobody integrated these three seconds.
    expect(wh(day(followed)!.comparedMilliJ)).toBe(1);
  });

  it('share what was counted over midnight, and tell a longer step as between the days', () => {
    const midnight = startOfDate('2026-06-02', ZONE);
    const near = follow([told(midnight - 1000, 5), told(midnight + 3000, 5.4)]);
    expect([...near.days.values()].map(({ date, countedMilliJ }) => [date, wh(countedMilliJ)])).toEqual([
      ['2026-06-01', 0.1],
      ['2026-06-02', 0.3],
    ]);
    const sparse = [-2400, ...Array.from({ length: 480 }, (_, i) => -2395 + i * 10)].map(s =>
      told(midnight + s * SECOND_MS, s === -2400 ? 5 : null),
    );
    const between = follow([...sparse, told(midnight + 2400 * SECOND_MS, 485)]);
    expect(between.bridges).toMatchObject([{ cause: 'counted', gapMs: 0, milliJ: 480 * MILLIJ_PER_WH }]);
  });

  it('leave a part of a station that is away to its own gap, while the rest goes on', () => {
    const away = Array.from({ length: 600 }, (_, i) =>
      told(NOON + (11 + i) * SECOND_MS, null, null, {
        quantities: { solarPowerW: null, solarEnergyWh: null, outputPowerW: 20 },
        reasons: { solarPowerW: 'notAvailable', solarEnergyWh: 'notAvailable' },
      }),
    );
    const { bridges, days } = follow([...seconds(0, 10), ...away, ...seconds(611, 620)]);
    expect(bridges.map(({ milliJ, gapMs }) => [wh(milliJ), gapMs])).toEqual([[60.1, 601_000]]);
    expect(wh(days.get('2026-06-01 solarEnergyWh')!.countedMilliJ)).toBe(1.9);
  });

  it('go on through readings that lack the counter alone', () => {
    const without = Array.from({ length: 300 }, (_, i) => told(NOON + (11 + i) * SECOND_MS, null));
    const followed = follow([...seconds(0, 10), ...without, ...seconds(311, 320)]);
    expect(followed.bridges).toEqual([]);
    expect([day(followed)!.countedMilliJ, day(followed)!.integratedMilliJ].map(wh)).toEqual([32, 32]);
  });

  it('believe no broken value, and lose nothing by it', () => {
    const all = seconds(0, 20);
    for (const broken of [0, 900, 99_999]) {
      const followed = follow(all.map((one, i) => (i === 9 ? told(one.reading.at, broken) : one)));
      expect(followed.bridges).toEqual([]);
      expect(wh(day(followed)!.countedMilliJ)).toBe(2);
    }
  });

  it('add nothing where they begin again, and say so', () => {
    const followed = follow([...seconds(0, 10), ...seconds(11, 20, -1.1)]);
    expect(followed.bridges).toMatchObject([
      { cause: 'reset', milliJ: null, gapMs: 0, fromMilliWh: 1_001_000, toMilliWh: 0 },
    ]);
    expect(wh(day(followed)!.countedMilliJ)).toBe(1.9);
  });

  it('add nothing of what could not have passed, and go on from there', () => {
    const followed = follow([...seconds(0, 10), ...seconds(11, 20, 8000)]);
    expect(followed.bridges).toMatchObject([{ cause: 'unlikely', milliJ: null }]);
    expect(wh(day(followed)!.countedMilliJ)).toBe(1.9);
  });

  it('tell running over from beginning again where the width is known', () => {
    const over = (steps: number | null) =>
      follow(
        [65_534, 65_535, 65_535, 0, 1, 2].map((value, i) => told(NOON + i * 5 * SECOND_MS, value)),
        { ...FACTS, counterSteps: steps },
      );
    expect(over(65_536).bridges).toEqual([]);
    expect(wh(day(over(65_536))!.countedMilliJ)).toBe(4);
    expect(over(null).bridges).toMatchObject([{ cause: 'reset' }]);
    expect(wh(day(over(null))!.countedMilliJ)).toBe(3);
  });

  it('say nothing of a gap in which they may have run over more than once', () => {
    const afterHours = (hours: number) =>
      follow([told(NOON, 99), told(NOON + 1000, 100), told(NOON + hours * HOUR_MS, 300, 360, { session: 's2' })], {
        ...FACTS,
        counterSteps: 65_536,
      }).bridges.map(({ cause, milliJ }) => [cause, wh(milliJ)]);
    expect(afterHours(100)).toEqual([['counted', 200]]);
    expect(afterHours(110)).toEqual([['overrun', null]]);
  });

  it('that count in hundreds, or show what they counted every few minutes, are believed', () => {
    const coarse = follow(seconds(0, 7200, 4100, 100));
    expect(coarse.bridges).toEqual([]);
    expect(day(coarse)).toMatchObject({
      countedMilliJ: 700 * MILLIJ_PER_WH,
      stepMilliWh: 100_000,
      largestMilliJ: 100 * MILLIJ_PER_WH,
    });
    const slow = follow(
      seconds(0, 3000, 4123.7, 0.1).map((one, i) =>
        told(one.reading.at, Number((4123.7 + Math.floor(i / 300) * 30).toFixed(1))),
      ),
    );
    expect(slow.bridges).toEqual([]);
    expect(wh(day(slow)!.countedMilliJ)).toBe(300);
  });

  it('take units that were confirmed anew for a new beginning', () => {
    const refused = Array.from({ length: 5 }, (_, i) =>
      told(NOON + (11 + i) * SECOND_MS, null, null, { quality: 'bad' }),
    );
    const inKilo = seconds(16, 30).map(({ reading: r }) => told(r.at, (r.quantities.solarEnergyWh ?? 0) / 1000));
    const followed = follow([...seconds(0, 10), ...refused, ...inKilo]);
    expect(followed.bridges).toMatchObject([{ cause: 'reset', milliJ: null }]);
    expect(wh(day(followed)!.countedMilliJ)).toBeCloseTo(1, 1);
  });

  it('of numbers typed in every few hours are blocks between them', () => {
    const typed = [0, 4, 9].map(h => told(NOON + h * HOUR_MS, 1000 + 200 * h, 360, { typed: true }));
    expect(follow(typed, { ...FACTS, intervalMs: 60_000 }).bridges.map(({ milliJ }) => wh(milliJ))).toEqual([
      800, 1000,
    ]);
  });
});

/** What happens next, and how long it takes. */
const step = fc.record({
  ms: fc.oneof(fc.integer({ min: 100, max: 9000 }), fc.integer({ min: 60_000, max: 30 * HOUR_MS })),
  watts: fc.integer({ min: 0, max: 500 }),
  event: fc.constantFrom('none', 'none', 'none', 'restart', 'missing', 'bad', 'forward', 'noPower'),
});

describe('whatever happens to a station and its agent', () => {
  it('days and blocks together are what the counter gained, to the milliwatt-hour, and no day holds more than it could', () => {
    fc.assert(
      fc.property(fc.array(step, { minLength: 2, maxLength: 80 }), fc.constantFrom(1, 100), (steps, stepTenths) => {
        let counters = createCounters([], null);
        const days = new Map<string, CountedAddition>();
        let bridged = 0;
        let [at, monoMs, session, seq, exactWh] = [startOfDate('2026-10-25', ZONE) - HOUR_MS, 0, 1, 0, 4321.5];
        const shown = () => (Math.floor((exactWh * 10) / stepTenths) * stepTenths) / 10;
        let [firstWh, lastWh, lastAt] = [Number.NaN, 0, at];
        for (const s of steps) {
          exactWh += (s.watts * s.ms) / HOUR_MS;
          monoMs += s.ms;
          // A clock that is set forward by half an hour, while the station lives on.
          at += s.ms + (s.event === 'forward' ? HOUR_MS / 2 : 0);
          if (s.event === 'restart') {
            session++;
            counters = createCounters([...days.values()].sort((a, b) => a.lastAt - b.lastAt).slice(-1), lastAt);
          }
          seq++;
          const value = s.event === 'missing' ? null : shown();
          const r = told(at, value, s.event === 'noPower' ? null : s.watts, {
            session: `s${session}`,
            seq,
            monoMs,
            quality: s.event === 'bad' ? 'bad' : 'good',
          });
          const { counted, bridges } = counters.add(r.reading, r.solarW, { ...FACTS, intervalMs: 3000 });
          lastAt = at;
          if (typeof value === 'number' && s.event !== 'bad') {
            if (Number.isNaN(firstWh)) firstWh = value;
            lastWh = value;
          }
          for (const block of bridges) {
            expect(block.cause).toBe('counted');
            bridged += block.milliJ!;
          }
          for (const part of counted) {
            expect(part.countedMilliJ).toBeGreaterThanOrEqual(0);
            days.set(part.date, days.has(part.date) ? addCounted(days.get(part.date)!, part) : part);
          }
        }
        const counted = [...days.values()].reduce((sum, part) => sum + part.countedMilliJ, 0);
        if (!Number.isNaN(firstWh)) expect(counted + bridged).toBe(Math.round((lastWh - firstWh) * 1000) * 3600);
        for (const part of days.values()) {
          expect(part.comparedMilliJ).toBeLessThanOrEqual(part.countedMilliJ);
          expect(part.integratedMilliJ).toBeLessThanOrEqual(500 * (part.endMs - part.startMs) + steps.length);
        }
      }),
      { numRuns: 90 },
    );
  });
});

/** A computer whose clock is set, both ways, while it reads two stations. */
const clockStep = fc.record({
  ms: fc.integer({ min: 200, max: 20_000 }),
  wallStepMs: fc.oneof(fc.constant(0), fc.constant(0), fc.integer({ min: -3 * 86_400_000, max: 3 * 86_400_000 })),
  watts: fc.integer({ min: 0, max: 400 }),
  station: fc.boolean(),
});

describe('a clock that is set forward and back', () => {
  it('neither makes nor loses a watt-hour of what two stations counted, as long as the agent runs', () => {
    fc.assert(
      fc.property(fc.array(clockStep, { minLength: 3, maxLength: 60 }), steps => {
        const stamper = createStamper(null);
        let [monoMs, wallMs] = [5000, startOfDate('2026-10-25', ZONE) - HOUR_MS];
        const stations = [0, 1].map(i => ({
          wh: 1000 * (i + 1),
          values: [] as number[],
          milliJ: 0,
          counters: createCounters([], null),
        }));
        let lastAt = 0;
        for (const { ms, wallStepMs, watts, station } of steps) {
          monoMs += ms;
          wallMs += ms + wallStepMs;
          for (const one of stations) one.wh += (watts * ms) / HOUR_MS;
          const one = stations[station ? 1 : 0]!;
          const value = Math.floor(one.wh * 10) / 10;
          const { at } = stamper.stamp(wallMs, monoMs);
          expect(at).toBeGreaterThanOrEqual(lastAt);
          lastAt = at;
          const { counted, bridges } = one.counters.add(told(at, value, watts, { monoMs }).reading, watts, FACTS);
          one.values.push(value);
          for (const block of bridges) expect(block.cause).toBe('counted');
          for (const part of [...counted.map(c => c.countedMilliJ), ...bridges.map(b => b.milliJ!)]) one.milliJ += part;
        }
        for (const { values, milliJ } of stations)
          if (values.length > 0) expect(milliJ).toBe(Math.round((values.at(-1)! - values[0]!) * 1000) * 3600);
      }),
      { numRuns: 60 },
    );
  });

  it('leaves a step of which nobody knows how long it took unknown, where a clock chip is missing', () => {
    // The computer wakes in the past: the second run begins a millisecond after the first one ended, as far as it can tell.
    const counters = createCounters([day(follow(seconds(0, 10)))!], NOON + 10_000);
    const woken = [0, 1000, 2000].map(ms =>
      told(NOON + 10_001 + ms, 1801 + ms / 10_000, 360, { session: 's2', monoMs: 50 + ms, clock: 'unknown' }),
    );
    const { bridges, days } = follow(woken, FACTS, counters);
    expect(bridges).toMatchObject([{ cause: 'unlikely', milliJ: null }]);
    expect(wh(days.get('2026-06-01 solarEnergyWh')!.countedMilliJ)).toBe(0.2);
  });
});
