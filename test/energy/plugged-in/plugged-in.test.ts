import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createChance } from '#energy/estimates/chance';
import { goneQuiet } from '#energy/estimates/plugged-in/gone-quiet';
import { levelsOf } from '#energy/estimates/plugged-in/levels';
import { namesFor } from '#energy/estimates/plugged-in/named-loads';
import { type PluggedIn, pluggedIn } from '#energy/estimates/plugged-in/plugged-in';
import { addRare, rareCycles } from '#energy/estimates/plugged-in/rare-cycles';
import { runsOf } from '#energy/estimates/plugged-in/runs';
import { pastWith, pastWithout } from '#energy/estimates/plugged-in/without-loads';
import { cycling, household, NOW_MINUTE, steady } from '../../support/household.ts';

const seen = (past: Parameters<typeof pluggedIn>[0]) => pluggedIn(past, NOW_MINUTE);
const kind = (loads: readonly PluggedIn[], k: PluggedIn['kind']) => loads.filter(load => load.kind === k);
const meanOf = (values: ArrayLike<number>) => sum(Array.from(values)) / values.length;
const sum = (values: Iterable<number>) => [...values].reduce((a, b) => a + b, 0);

describe('levels of a load', () => {
  it('cuts where it steps, and gives the minute of switching to what follows', () => {
    const levels = levelsOf(Float64Array.from([20, 20, 20, 75, 120, 120, 119, 118, 20, 20]));
    expect(levels.map(l => [l.from, l.to])).toEqual([
      [0, 3],
      [3, 8],
      [8, 10],
    ]);
    expect(levels[1]!.startW).toBeCloseTo(120, -0.5);
    expect(levels[1]!.endW).toBeCloseTo(119, -0.5);
  });

  it('takes a motor’s start for the beginning of its run, and a minute between equal levels for a run of a minute', () => {
    expect(levelsOf(Float64Array.from([20, 20, 400, 120, 120, 120, 20, 20, 20])).map(l => l.from)).toEqual([0, 2, 6]);
    expect(levelsOf(Float64Array.from([20, 20, 20, 900, 20, 20, 20, 20])).map(l => l.from)).toEqual([0, 3, 4]);
  });

  it('follows a drift without cutting, and is empty for nothing', () => {
    expect(levelsOf(Float64Array.from({ length: 60 }, (_, i) => 200 - i))).toHaveLength(1);
    expect(levelsOf(new Float64Array(0))).toEqual([]);
  });
});

describe('runs', () => {
  it('pair each step up with the step down that fits it best', () => {
    // 100 W from 2 to 8; 40 W from 4 to 10.
    const watts = Float64Array.from(
      { length: 14 },
      (_, i) => (i >= 2 && i < 8 ? 100 : 0) + (i >= 4 && i < 10 ? 40 : 0),
    );
    expect(runsOf(watts)).toEqual([
      { from: 2, to: 8, powerW: 100 },
      { from: 4, to: 10, powerW: 40 },
    ]);
  });

  it('are told apart where two begin together, and where two end together', () => {
    const begun = Float64Array.from(
      { length: 14 },
      (_, i) => (i >= 3 && i < 6 ? 100 : 0) + (i >= 3 && i < 12 ? 40 : 0),
    );
    expect(runsOf(begun)).toEqual([
      { from: 3, to: 6, powerW: 100 },
      { from: 3, to: 12, powerW: 40 },
    ]);
    const ended = Float64Array.from({ length: 14 }, (_, i) => (i >= 2 && i < 9 ? 100 : 0) + (i >= 5 && i < 9 ? 90 : 0));
    expect(runsOf(ended)).toEqual([
      { from: 2, to: 9, powerW: 100 },
      { from: 5, to: 9, powerW: 90 },
    ]);
  });

  it('have no beginning where they were on before, and no end where they are on', () => {
    const watts = Float64Array.from({ length: 20 }, (_, i) => (i < 6 ? 60 : 0) + (i >= 12 ? 150 : 0) + 5);
    expect(runsOf(watts)).toEqual([
      { from: null, to: 6, powerW: 60 },
      { from: 12, to: null, powerW: 150 },
    ]);
  });
});

describe('what is plugged in', () => {
  it('is told from the steps alone: a freezer that cycles, a warmer plugged in, and the rest', () => {
    const past = household(1440, [steady(19), cycling(97, 17, 50), steady(40, 1200)]);
    const loads = seen(past);
    const [freezer] = kind(loads, 'cycling');
    expect(freezer).toMatchObject({ cycleMin: 50, runMin: 17 });
    expect(freezer!.powerW).toBeCloseTo(97, 0);
    expect(freezer!.duty).toBeCloseTo(17 / 50, 1);
    expect(freezer!.meanW).toBeCloseTo((97 * 17) / 50, -0.5);
    expect(kind(loads, 'steady')).toMatchObject([
      { duty: 1, on: true, firstMinute: NOW_MINUTE - 240, lastMinute: NOW_MINUTE - 1 },
    ]);
    expect(kind(loads, 'steady')[0]!.powerW).toBeCloseTo(40, 0);
    expect(kind(loads, 'rest')[0]!.powerW).toBeCloseTo(19, 0);
    expect(loads).toHaveLength(3);
  });

  it('calls what ran once or twice what it is: sometimes', () => {
    const loads = seen(household(600, [steady(10), steady(900, 100, 104), steady(900, 340, 345)]));
    expect(kind(loads, 'sometimes')).toMatchObject([{ on: false, cycleMin: null, lastMinute: NOW_MINUTE - 256 }]);
  });

  it('is nothing where nothing was recorded or nothing is drawn', () => {
    expect(seen(household(0, []))).toEqual([]);
    expect(seen(household(200, [steady(0)]))).toEqual([]);
  });

  it('does not take a kettle for a cycle', () => {
    const boiled = [20, 910, 1130, 1310];
    const past = household(1440, [steady(10), m => (boiled.some(at => m >= at && m < at + 3) ? 800 : 0)]);
    expect(kind(seen(past), 'rare')).toEqual([]);
    expect(kind(seen(past), 'sometimes')).toHaveLength(1);
  });

  it('leaves out the day before where it is known by longer means only: what switched within cannot be seen', () => {
    const fine = household(1440, [steady(10), cycling(60, 12, 47)]);
    const past = household(2 * 1440, [
      m => (m < 1440 ? 10 + 3 * (Math.floor((m + 5) / 15) % 4) : fine.outputW[m - 1440]!),
    ]);
    expect(kind(seen(past), 'cycling').map(load => Math.round(load.powerW))).toEqual([60]);
    expect(seen(past)).toHaveLength(2);
  });

  it('leaves them out from where they end, wherever in that day the agent was started', () => {
    const fine = household(2 * 1440, [steady(10), cycling(60, 12, 47)], m => (m % 3) / 2);
    const past = household(2 * 1440, [m => (m < 1000 ? 10 + 3 * (Math.floor((m + 5) / 15) % 4) : fine.outputW[m]!)]);
    const loads = seen(past);
    expect(kind(loads, 'cycling').map(load => Math.round(load.powerW))).toEqual([60]);
    expect(loads[0]!.drawnFrom).toBeGreaterThan(900);
    expect(loads[0]!.drawnFrom).toBeLessThanOrEqual(1000);
  });

  it('finds any freezer among a steady load and flicker: watts, duty and cycle', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 40, max: 200 }),
        fc.integer({ min: 6, max: 30 }),
        fc.integer({ min: 12, max: 60 }),
        fc.integer({ min: 0, max: 60 }),
        fc.integer({ min: 1, max: 1e6 }),
        (powerW, onMin, offMin, restW, seed) => {
          const chance = createChance(seed);
          const past = household(1440, [steady(restW), cycling(powerW, onMin, onMin + offMin, 7)], () =>
            chance.normal(),
          );
          const [freezer] = kind(seen(past), 'cycling');
          expect(freezer!.powerW / powerW).toBeGreaterThan(0.95);
          expect(freezer!.powerW / powerW).toBeLessThan(1.05);
          expect(freezer!.cycleMin! - onMin - offMin).toBeCloseTo(0, -0.5);
          expect(Math.abs(freezer!.duty - onMin / (onMin + offMin))).toBeLessThan(0.06);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('never gives away more than was drawn in any minute, and loads taken off leave nothing below zero', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 2000, noNaN: true }), { minLength: 1, maxLength: 300 }), watts => {
        const past = household(watts.length, [m => watts[m]!]);
        const loads = seen(past);
        const without = pastWithout(past, loads);
        for (let i = 0; i < past.count; i++) {
          const drawn = sum(loads.map(load => load.drawnW[i - load.drawnFrom] ?? 0));
          expect(drawn).toBeLessThanOrEqual(past.outputW[i]! + 1e-9);
          expect(without.outputW[i]!).toBeGreaterThanOrEqual(0);
        }
      }),
    );
  });
});

describe('a load left off', () => {
  it('leaves the others as they were, minute by minute; half the time is half of it', () => {
    const past = household(900, [steady(19), cycling(100, 20, 60)]);
    const [freezer] = kind(seen(past), 'cycling');
    const off = pastWithout(past, [freezer!]);
    for (const w of off.outputW) expect(w).toBeCloseTo(19, 0);
    const half = pastWithout(past, [freezer!], 0.5);
    const mean = (p: typeof past) => sum(p.outputW.slice(0, past.count)) / past.count;
    expect(mean(half)).toBeCloseTo((mean(past) + mean(off)) / 2, 6);
    expect(pastWith(past, 7).outputW[3]).toBe(past.outputW[3]! + 7);
  });
});

describe('names', () => {
  const loads = seen(household(1440, [steady(19), cycling(97, 17, 50), steady(40, 1200)]));
  const name = (text: string, powerW: number) => ({ name: text, powerW, mustStayOn: false });

  it('go to the load whose watts are nearest, within 15 %, and serve once', () => {
    const found = namesFor(loads, [
      name('Freezer', 110),
      name('Lamp', 17),
      name('Other lamp', 18.5),
      name('Kettle', 1800),
    ]);
    expect(loads.map((load, i) => [Math.round(load.powerW), found[i]?.name])).toEqual([
      [40, undefined],
      [97, 'Freezer'],
      [19, 'Other lamp'],
    ]);
  });

  it('are not stretched beyond 15 %', () => {
    expect(namesFor(loads, [name('Freezer', 82)]).every(n => n === null)).toBe(true);
  });
});

describe('rare big cycles', () => {
  const defrost = cycling(400, 20, 480, 60);
  const past = household(2 * 1440, [steady(15), cycling(90, 15, 45), defrost], m => (m % 3) - 1);

  it('are kept with their interval, however short the last hours', () => {
    const [rare] = kind(seen(past), 'rare');
    expect(rare).toMatchObject({ cycleMin: 480, runMin: 20, on: false });
    // The last run began 2880 − 2460 = 420 minutes ago and lasted 20.
    expect(rareCycles(seen(past), NOW_MINUTE)).toMatchObject([{ everyMin: 480, runMin: 20, sinceMin: 401 }]);
  });

  it('come due when the interval is over, and then again and again', () => {
    const cycle = { powerW: 400, runMin: 20, everyMin: 480, sinceMin: 400 };
    const many = Array.from({ length: 200 }, (_, seed) => {
      const watts = new Float64Array(1260);
      addRare(cycle, createChance(seed + 1), 1, watts);
      return { firstAt: watts.findIndex(w => w > 0), energyWmin: sum(watts) };
    });
    const mean = (values: number[]) => sum(values) / values.length;
    // One is due in 460 − 400 = 60 minutes; 21 hours hold 3 runs of 20 minutes, the fourth begins at 1500.
    expect(mean(many.map(m => m.firstAt))).toBeGreaterThan(40);
    expect(mean(many.map(m => m.firstAt))).toBeLessThan(90);
    expect(mean(many.map(m => m.energyWmin)) / (3 * 20 * 400)).toBeCloseTo(1, 1);
  });

  it('hold the same energy in steps of any length', () => {
    const cycle = { powerW: 300, runMin: 13, everyMin: 240, sinceMin: 30 };
    const wattMinutes = (stepMin: number) => {
      const watts = new Float64Array(1200 / stepMin);
      addRare(cycle, createChance(5), stepMin, watts);
      return stepMin * sum(watts);
    };
    expect(wattMinutes(4)).toBeCloseTo(wattMinutes(1), 6);
    expect(wattMinutes(15)).toBeCloseTo(wattMinutes(1), 6);
  });
});

describe('a load gone quiet', () => {
  /** No two minutes of a real load are the same. */
  const flicker = (minute: number) => (minute % 3) / 2;
  const until = (m: number) => (minute: number) => (minute < m ? cycling(100, 15, 50)(minute) : 0);

  it('is told after three of its cycles without drawing, not before', () => {
    // The last run begins at 1000 and ends at 1015; 1015 + 150 is three cycles later.
    const at = (minutes: number) => {
      const past = household(minutes, [steady(12), until(1050)]);
      return goneQuiet(seen(past), past, NOW_MINUTE, () => false);
    };
    expect(at(1160)).toEqual([]);
    expect(at(1200)).toMatchObject([{ quietMin: 186, load: { cycleMin: 50 } }]);
  });

  it('is told of what cycled for a while only where the owner marked it', () => {
    const past = household(900, [steady(12), m => (m >= 500 && m < 680 ? cycling(78, 8, 28)(m) : 0)]);
    expect(goneQuiet(seen(past), past, NOW_MINUTE, () => false)).toEqual([]);
    expect(goneQuiet(seen(past), past, NOW_MINUTE, () => true)).toHaveLength(1);
  });

  it('is told by its longer cycles where they differ, as by day and by night', () => {
    // Every 40 minutes by day, every 80 in a long night before; three cycles of 40 are two hours.
    const night = (m: number) => m >= 700 && m < 1600;
    const cooler = (m: number) => (m >= 1600 ? 0 : night(m) ? cycling(57, 15, 80)(m) : cycling(57, 15, 40)(m));
    const at = (now: number) => {
      const past = household(now, [steady(12), cooler], flicker);
      return goneQuiet(seen(past), past, NOW_MINUTE, () => true).length;
    };
    expect([at(1760), at(1860)]).toEqual([0, 1]);
  });

  it('is told of a tool of some afternoons never, of what cycled around the clock as ever', () => {
    const spins = (m: number) => (m < 2880 && m % 1440 >= 800 && m % 1440 < 870 ? cycling(165, 5, 9)(m) : 0);
    // At 3900 it has been at rest for longer than between the two afternoons before.
    for (const now of [1500, 2200, 2800, 3900, 4000]) {
      const past = household(now, [steady(12), spins, cycling(60, 15, 50)], flicker);
      expect(goneQuiet(seen(past), past, NOW_MINUTE, () => false)).toEqual([]);
    }
  });

  it('is told of what nobody marked only once it rested far longer than ever before', () => {
    // Off for nine hours each night, and then for good.
    const fridge = (m: number) => (m % 1440 >= 540 && m < 3700 ? cycling(57, 20, 45)(m) : 0);
    const at = (now: number) => {
      const past = household(now, [steady(12), fridge], flicker);
      return goneQuiet(seen(past), past, NOW_MINUTE, () => false).length;
    };
    expect([at(3950), at(4300), at(4900)]).toEqual([0, 0, 1]);
  });

  it('is usual at hours at which the same load rested twice before, not a cycle after they are over', () => {
    const night = (m: number) => m % 1440 < 480;
    const at = (now: number, stopped = Number.POSITIVE_INFINITY, watts: (m: number) => number = () => 6) => {
      const fridge = (m: number) => (night(m) || m >= stopped ? 0 : cycling(57, 20, 45)(m));
      const past = household(now, [watts, fridge], flicker);
      return goneQuiet(seen(past), past, NOW_MINUTE, () => true).map(({ usual }) => usual);
    };
    const day = (n: number, hours: number) => 1440 * n + 60 * hours;
    // The second night is news, the third is not, though it may begin earlier and end later.
    expect([at(day(1, 5)), at(day(2, 5))]).toEqual([[false], [true]]);
    expect([at(day(3, 5), day(2, 23.5)), at(day(3, 8.7), day(3, 8))]).toEqual([[true], [true]]);
    expect([at(day(3, 12), day(3, 8)), at(day(3, 20), day(3, 16))]).toEqual([[false], [false]]);
    // What else is on tells neither way.
    const heater = (m: number) => 6 + (m >= day(3, 16.5) ? 200 : 0);
    expect(at(day(3, 20), day(3, 16), heater)).toEqual([false]);
    const busy = (m: number) => 80 + (m < day(2, 12) ? 200 : 0);
    expect(at(day(3, 20), day(3, 16), busy)).toEqual([false]);
  });

  it('is told from longer means too, as days are known that an earlier run of the agent recorded', () => {
    const stopped = 3 * 1440 + 900;
    const fine = household(stopped + 240, [steady(6), m => (m < stopped ? cycling(57, 20, 45)(m) : 0)], flicker);
    const means = household(stopped + 240, [
      m => (m >= 2 * 1440 ? fine.outputW[m]! : meanOf(fine.outputW.slice(m - (m % 15), m - (m % 15) + 15))),
    ]);
    const isFridge = (load: PluggedIn) => Math.abs(load.powerW - 57) < 3;
    expect(goneQuiet(seen(means), means, NOW_MINUTE, isFridge).map(({ usual }) => usual)).toEqual([false]);
  });

  it('is not told of what was not recorded', () => {
    const past = household(1010, [steady(12), until(1050)]);
    const later = { ...past, minutes: past.minutes.map(m => m - 400) };
    expect(goneQuiet(pluggedIn(later, NOW_MINUTE), later, NOW_MINUTE, () => true)).toEqual([]);
  });
});
