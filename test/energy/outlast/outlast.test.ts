import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addedMin } from '#energy/estimates/outlast/added';
import { budgetW } from '#energy/estimates/outlast/budget';
import { type Ask, type AskDots, chancesOf, dotsOf, lowestOf, middleOf } from '#energy/estimates/outlast/chances';
import { daysAhead } from '#energy/estimates/outlast/days-ahead';
import { greatest } from '#energy/estimates/outlast/search';
import { SKIES, sunWh } from '#energy/estimates/outlast/sky';
import { bestMove, bothReach } from '#energy/estimates/outlast/together';
import { pluggedIn } from '#energy/estimates/plugged-in/plugged-in';
import { pastWithout } from '#energy/estimates/plugged-in/without-loads';
import type { RuntimeFacts } from '#energy/estimates/runtime/engine';
import { cycling } from '../../support/household.ts';
import { IN_WORTH, LIVED_FACTS, type Lived, livedStation, OUT_COST, OWN_W } from '../../support/lived-station.ts';

const QUICK = { steps: 720, paths: 120 };
const askOf =
  ({ engine, at }: Lived, facts: RuntimeFacts = LIVED_FACTS): Ask =>
  suppose =>
    engine.project(at, facts, { suppose: { leastMin: 3000, ...QUICK, ...suppose } });
const dots =
  (ask: Ask): AskDots =>
  suppose =>
    dotsOf(ask(suppose));
/** A sun that shines 1000 W/m² for six hours round each noon (UTC). */
const sunny: RuntimeFacts = {
  ...LIVED_FACTS,
  panelsRatedW: 200,
  clearWm2: at => (Math.abs(((at / 3_600_000) % 24) - 12) < 3 ? 1000 : 0),
};
/** Wh of the label between here and the floor, where a percent is 10 Wh. */
const leftWh = (lived: Lived) => 10 * (lived.pct - 10.5);

describe('twenty dots', () => {
  const lived = livedStation(() => 60);
  const dots = dotsOf(askOf(lived)({}));

  it('rise, and those at or after a target are its chances', () => {
    expect(dots).toHaveLength(20);
    expect([...dots].sort((a, b) => a - b)).toEqual(dots);
    expect(chancesOf(dots, 0)).toBe(20);
    expect(chancesOf(dots, dots[16]!)).toBe(4);
    expect(chancesOf(dots, dots[19]! + 1)).toBe(0);
  });

  it('lie round the truth', () => {
    const truthMin = (60 * leftWh(lived)) / (OUT_COST * 60 + OWN_W);
    expect(middleOf(dots) / truthMin).toBeGreaterThan(0.93);
    expect(middleOf(dots) / truthMin).toBeLessThan(1.07);
  });

  it('are none before anything can be said', () => {
    expect(dotsOf(askOf(livedStation(() => 60, { minutes: 5, log: 0 }))({}))).toEqual([]);
  });

  it('change nothing that is foretold or scored', () => {
    const before = JSON.stringify(lived.engine.memory());
    for (const lessW of [0, 10, 30]) askOf(lived)({ loadW: lessW });
    expect(JSON.stringify(lived.engine.memory())).toBe(before);
  });

  it('have no lowest point where the floor is reached, and one where the sun carries it', () => {
    expect(lowestOf(askOf(lived)({}))).toBeNull();
    const carried = askOf(
      livedStation(() => 10, { fromPct: 60 }),
      sunny,
    )({ loadW: 10, clearness: () => [1, 1] });
    const low = lowestOf(carried)!;
    expect(low.labelWh).toBeGreaterThan(105);
    expect(low.minutesAhead).toBeGreaterThan(0);
  });
});

describe('a search for an edge', () => {
  it('comes within its tolerance from below, and tells where it holds nowhere or everywhere', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 100, noNaN: true }), edge => {
        const found = greatest(
          0,
          100,
          () => 0.5,
          x => x <= edge,
        )!;
        expect(found).toBeLessThanOrEqual(edge);
        expect(edge - found).toBeLessThanOrEqual(0.5);
      }),
    );
    expect(
      greatest(
        1,
        2,
        () => 0.1,
        () => false,
      ),
    ).toBeNull();
    expect(
      greatest(
        1,
        2,
        () => 0.1,
        () => true,
      ),
    ).toBe(2);
  });
});

describe('how much may be used', () => {
  const lived = livedStation(m => 40 + 80 * Number(m % 40 < 10));
  const ask = askOf(lived);

  it('is the energy left over the time, less what the station draws, less a margin for what is not known', () => {
    const hours = 8;
    const truthW = (leftWh(lived) / hours - OWN_W) / OUT_COST;
    const found = budgetW(dots(ask), hours * 60)!;
    expect(found).toBeLessThan(truthW);
    expect(found).toBeGreaterThan(0.85 * truthW);
  });

  it('is less the later the target and the more chances are asked for', () => {
    const at = (hours: number, chances?: number) => budgetW(dots(ask), hours * 60, chances)!;
    expect(at(24)).toBeLessThan(at(12));
    expect(at(12, 19)).toBeLessThanOrEqual(at(12, 15));
  });

  it('keeps its word: at that load it is reached in 18 of 20, a twentieth above it is not', () => {
    const found = budgetW(dots(ask), 900)!;
    expect(chancesOf(dotsOf(ask({ loadW: found })), 900)).toBeGreaterThanOrEqual(18);
    expect(chancesOf(dotsOf(ask({ loadW: found * 1.05 })), 900)).toBeLessThan(18);
  });

  it('is nothing where the station alone empties itself', () => {
    expect(budgetW(dots(ask), 30 * 60)).not.toBeNull();
    const nearlyEmpty = livedStation(() => 60, { fromPct: 44 });
    expect(budgetW(dots(askOf(nearlyEmpty)), 45 * 60)).toBeNull();
  });
});

describe('what leaving something off adds', () => {
  it('is what its mean cost: the others go on as they did', () => {
    const lived = livedStation(m => cycling(90, 15, 45)(m + 4500) + (m >= -1110 ? 30 : 0) + 15);
    const ask = askOf(lived);
    const past = lived.engine.past();
    const loads = pluggedIn(past, Math.floor(lived.at / 60_000));
    const warmer = loads.find(load => load.kind === 'steady')!;
    expect(warmer.powerW).toBeCloseTo(30, -0.5);
    const now = middleOf(dotsOf(ask({})));
    const without = middleOf(dotsOf(ask({ past: pastWithout(past, [warmer]) })));
    const draw = (loadW: number) => OUT_COST * loadW + OWN_W;
    // 75 W go out on average now (30 + 30 + 15), 45 W without it.
    expect(without / now).toBeGreaterThan(0.9 * (draw(75) / draw(45)));
    expect(without / now).toBeLessThan(1.15 * (draw(75) / draw(45)));
    const half = middleOf(dotsOf(ask({ past: pastWithout(past, [warmer], 0.5) })));
    expect(half).toBeGreaterThan(now);
    expect(half).toBeLessThan(without);
  });
});

describe('what could be added', () => {
  const lived = livedStation(() => 60, { fromPct: 70 });
  const ask = askOf(lived);

  it('is what is missing, brought in with the losses of charging', () => {
    const targetMin = 8 * 60;
    const missingWh = (8 * (OUT_COST * 60 + OWN_W) - leftWh(lived)) / IN_WORTH;
    const minutes = addedMin(dots(ask), targetMin, 400)!;
    const energyWh = (400 * minutes) / 60;
    // On top of what is missing on average comes what 18 of 20 want for safety.
    expect(energyWh).toBeGreaterThan(missingWh);
    expect(energyWh).toBeLessThan(missingWh + 0.5 * leftWh(lived));
    expect(addedMin(dots(ask), targetMin, 800)! / minutes).toBeCloseTo(0.5, 1);
  });

  it('is nothing where it is reached anyway, and null where it cannot be enough', () => {
    expect(addedMin(dots(ask), 120, 400)).toBe(0);
    expect(addedMin(dots(ask), 40 * 60, 5)).toBeNull();
  });
});

describe('the days ahead', () => {
  const lived = livedStation(() => 10, { fromPct: 80 });
  const ends = [1440, 2880, 4320, 5760, 7200, 8640, 10_080];

  it('grow with the sky that is set, day by day', () => {
    const chances = SKIES.map(sky =>
      daysAhead(
        askOf(lived, sunny),
        dotsOf,
        lived.engine.gauge.map(),
        ends,
        ends.map(() => sky),
      )!.map(day => day.chances),
    );
    for (const day of ends.keys()) {
      expect(chances[0]![day]!).toBeGreaterThanOrEqual(chances[1]![day]!);
      expect(chances[1]![day]!).toBeGreaterThanOrEqual(chances[2]![day]!);
    }
    expect(chances[0]!.at(-1)).toBeGreaterThanOrEqual(18);
    expect(chances[2]!.at(-1)).toBe(0);
  });

  it('never become likelier to be lived through the later they are', () => {
    const days = daysAhead(askOf(lived, sunny), dotsOf, lived.engine.gauge.map(), ends, [null, 'poor', 'good'])!;
    for (let i = 1; i < days.length; i++) expect(days[i]!.chances).toBeLessThanOrEqual(days[i - 1]!.chances);
    for (const { endPct } of days) {
      expect(endPct).toBeGreaterThanOrEqual(0);
      expect(endPct).toBeLessThanOrEqual(100);
    }
  });

  it('hold what the sky set gives: 200 W of panels at 0.78 over six hours, times its share', () => {
    const midnight = Date.parse('2026-06-02T00:00:00Z');
    const wh = (sky: 'good' | 'poor') => sunWh(lived.engine.past(), sunny, midnight, midnight + 86_400_000, sky)!;
    // 0.78 × 200 W × 6 h = 936 Wh under a clear sky; good is 0.8 to 1 of it, poor 0.1 to 0.3.
    expect(wh('good') / 936).toBeGreaterThan(0.8);
    expect(wh('good') / 936).toBeLessThan(1);
    expect(wh('poor') / 936).toBeGreaterThan(0.1);
    expect(wh('poor') / 936).toBeLessThan(0.3);
    expect(sunWh(lived.engine.past(), LIVED_FACTS, midnight, midnight + 86_400_000, 'good')).toBeNull();
  });
});

describe('two stations as one reserve', () => {
  it('both get there as often as either does, the one times the other', () => {
    expect(bothReach(20, 20)).toBe(20);
    expect(bothReach(10, 10)).toBe(5);
    expect(bothReach(0, 20)).toBe(0);
  });

  it('name the one load whose move helps both most, and none where none does', () => {
    const moved = { router: { here: 18, there: 19 }, freezer: { here: 20, there: 4 }, lamp: { here: 13, there: 20 } };
    const names = ['freezer', 'router', 'lamp'] as const;
    expect(bestMove(names, { here: 12, there: 20 }, name => moved[name])).toEqual({
      load: 'router',
      here: 18,
      there: 19,
      both: 17,
    });
    expect(bestMove(names, { here: 20, there: 20 }, name => moved[name])).toBeNull();
  });
});
