/** What a station carries and for how long: hand-worked cases, and what must hold for any list. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { squareW } from '#energy/estimates/plan/converter';
import { lastingHours, needWh } from '#energy/estimates/plan/lasting';
import type { PlannedLoad } from '#energy/estimates/plan/planned-load';
import { dayWh, totalStartingW } from '#energy/estimates/plan/planned-load';
import { planVerdict } from '#energy/estimates/plan/verdicts';
import { DELIVERED } from '../../reference/sizing.ts';
import { exactLosses, labelLosses, planned } from '../../support/plans.ts';

const stored = (energyWh: number, sdWh = 0) => ({ energyWh, sdWh });
const anyLoad: fc.Arbitrary<PlannedLoad> = fc.record({
  name: fc.constantFrom('fridge', 'router', 'lamp', 'pump', 'fan'),
  powerW: fc.double({ min: 0.1, max: 3000, noNaN: true }),
  startFactor: fc.double({ min: 1, max: 10, noNaN: true }),
  hoursPerDay: fc.double({ min: 0, max: 24, noNaN: true }),
  count: fc.integer({ min: 1, max: 5 }),
  mustStayOn: fc.boolean(),
});
const anyList = fc.array(anyLoad, { maxLength: 6 });
const anyLosses = fc
  .boolean()
  .chain(known => fc.constant(labelLosses(known ? { continuousW: 1500, knownToW: 80 } : {})));

describe('hours on the battery alone', () => {
  it('are the energy over the drain where everything is known: 1000 Wh, 100 W at 1.1 and 10 W of its own', () => {
    const hours = lastingHours([planned('lamp', 100, { count: 1 })], exactLosses(1.1, 10), stored(1000));
    // The load itself is still told only to about an eighth.
    expect(hours.p50).toBeCloseTo(1000 / 120, 1);
    expect(hours.p10).toBeGreaterThan(1000 / (10 + 110 * 1.25));
    expect(hours.p90).toBeLessThan(1000 / (10 + 110 * 0.8));
    expect(lastingHours([], exactLosses(1.1, 10), stored(1000))).toEqual({ p10: 100, p50: 100, p90: 100 });
  });

  it('give a router-only night less than half of the rated energy', () => {
    const router = planned('router', 10);
    const hours = lastingHours([router], labelLosses({ continuousW: 1000 }), stored(1000));
    expect(hours.p50 * 10).toBeLessThan(500);
    expect(hours.p50 * 10).toBeGreaterThan(350);
  });

  it('give each load the share that the California list leaves of the label', () => {
    const losses = exactLosses(1.08 / 0.97, 12 / 0.97);
    for (const [loadW, share] of DELIVERED) {
      const [outCost, ownW] = losses.mean;
      const hours = 1000 / (ownW + outCost * loadW + squareW(losses, loadW));
      expect(Math.abs((hours * loadW) / 1000 - share)).toBeLessThan(0.006);
    }
  });

  it('count a square term where the converter works hard, and none below what its losses were learned at', () => {
    const known = labelLosses({ continuousW: 1000, knownToW: 200 });
    expect(squareW(known, 200)).toBe(0);
    expect(squareW(known, 1000)).toBeCloseTo(0.08 * 800, 9);
    expect(squareW(labelLosses({ continuousW: 1000 }), 700)).toBe(0);
    expect(squareW(labelLosses(), 5000)).toBe(0);
    // A kettle of 1000 W for six minutes a day works it hard for these, not on average.
    const need = (losses: typeof known) => needWh([planned('kettle', 1000, { hoursPerDay: 0.1 })], losses).p50;
    expect(need(known) - need(labelLosses())).toBeCloseTo(0.1 * 0.08 * 800, 6);
  });

  it('are never longer with more of anything, in no part of the range', () => {
    fc.assert(
      fc.property(
        anyList,
        anyLoad,
        anyLosses,
        fc.double({ min: 10, max: 5000, noNaN: true }),
        (list, more, losses, energyWh) => {
          const of = (loads: PlannedLoad[]) => lastingHours(loads, losses, stored(energyWh, 0.02 * energyWh));
          const before = of(list);
          const grown = list.map((load, i) => (i === 0 ? { ...load, powerW: 1.3 * load.powerW } : load));
          const longer = list.map((load, i) =>
            i === 0 ? { ...load, hoursPerDay: Math.min(24, load.hoursPerDay + 1) } : load,
          );
          for (const after of [of([...list, more]), of(grown), of(longer)])
            for (const part of ['p10', 'p50', 'p90'] as const)
              expect(after[part]).toBeLessThanOrEqual(before[part] * (1 + 1e-12));
          expect(before.p10).toBeGreaterThanOrEqual(0);
          expect(before.p10 <= before.p50 && before.p50 <= before.p90).toBe(true);
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe('what the outlets carry', () => {
  const limits = { continuousW: 1000, surgeW: 2000 };
  const words = (loads: PlannedLoad[], over = {}) =>
    planVerdict(loads, { ...limits, ...over }).loads.map(l => l.verdict);

  it('tells what runs, what starts only with others off, and what is too big', () => {
    const fridge = planned('fridge', 100, { startFactor: 8, mustStayOn: true });
    const heater = planned('heater', 850);
    const kettle = planned('kettle', 2200);
    expect(words([fridge, planned('router', 10)])).toEqual(['runs', 'runs']);
    expect(words([kettle])).toEqual(['tooBig']);
    // What runs at no time stands in nobody's way.
    expect(words([planned('router', 10), kettle])).toEqual(['runs', 'tooBig']);
    expect(planVerdict([planned('router', 10), kettle], limits)).toMatchObject({ runningW: 10, runsTogether: true });
    // 850 + 100 run together; 850 and the fridge's 800 at its start too.
    expect(words([fridge, heater])).toEqual(['runs', 'runs']);
    const crowded = planVerdict([fridge, heater, planned('lamp', 40), planned('fan', 120)], limits);
    expect(crowded.runsTogether).toBe(false);
    expect(crowded.loads[1]).toEqual({
      verdict: 'othersOff',
      off: [3],
      stopsNeeded: false,
      by: 'continuous',
      othersFit: true,
    });
    // The fridge stays on whatever the heater wants.
    expect(crowded.loads[2]).toEqual({
      verdict: 'othersOff',
      off: [3],
      stopsNeeded: false,
      by: 'continuous',
      // A lamp is not what is too much: all else is, without it.
      othersFit: false,
    });
    expect(planVerdict([fridge, planned('saw', 950)], limits).loads[1]).toMatchObject({ off: [0], stopsNeeded: true });
  });

  it('decides a motor by its start, while all else runs', () => {
    const pump = planned('pump', 300, { startFactor: 6 });
    expect(planVerdict([pump, planned('lamp', 150)], limits).loads[0]).toMatchObject({ verdict: 'runs' });
    expect(planVerdict([pump, planned('heater', 300)], limits).loads[0]).toEqual({
      verdict: 'othersOff',
      off: [1],
      stopsNeeded: false,
      othersFit: true,
      by: 'surge',
    });
    expect(planVerdict([planned('pump', 300, { startFactor: 7 })], limits).loads[0]).toMatchObject({
      verdict: 'tooBig',
      by: 'surge',
    });
    // Two of a kind: one starts while the other runs.
    expect(words([planned('pump', 300, { startFactor: 5, count: 2 })])).toEqual(['runs']);
  });

  it('tells the worst start, when all outlets come back at once', () => {
    const loads = [planned('fridge', 100, { startFactor: 8 }), planned('freezer', 150, { startFactor: 9, count: 1 })];
    expect(planVerdict(loads, limits)).toMatchObject({
      runningW: 250,
      startingW: 2150,
      startsTogether: false,
      runsTogether: true,
    });
    expect(totalStartingW(loads)).toBe(2150);
  });

  it('says nothing of a limit that is not told', () => {
    expect(words([planned('lamp', 10)], { continuousW: null })).toEqual(['unknown']);
    expect(words([planned('lamp', 10)], { surgeW: null })).toEqual(['runs']);
    expect(words([planned('fridge', 100, { startFactor: 6 })], { surgeW: null })).toEqual(['unknown']);
    expect(words([planned('kettle', 2200)], { surgeW: null })).toEqual(['tooBig']);
    expect(planVerdict([], { continuousW: null, surgeW: null })).toMatchObject({
      runsTogether: null,
      startsTogether: null,
    });
  });

  it('asks for the fewest to be off, which then is enough', () => {
    fc.assert(
      fc.property(fc.array(anyLoad, { minLength: 1, maxLength: 7 }), loads => {
        const told = planVerdict(loads, limits);
        for (const [i, { verdict, off }] of told.loads.entries()) {
          if (verdict !== 'othersOff') continue;
          const left = loads.filter((_, k) => !off.includes(k));
          const again = planVerdict(left, limits).loads[left.indexOf(loads[i]!)]!;
          expect(again.verdict).toBe('runs');
          for (const one of off) {
            const more = loads.filter((_, k) => k === one || !off.includes(k));
            expect(planVerdict(more, limits).loads[more.indexOf(loads[i]!)]!.verdict).not.toBe('runs');
          }
        }
        expect(dayWh(loads)).toBeGreaterThanOrEqual(0);
      }),
      { numRuns: 150 },
    );
  });
});
