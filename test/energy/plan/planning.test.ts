/** Plan put together: what must hold of its parts with each other, at a place with panels and a record. */
import { describe, expect, it } from 'vitest';
import {
  clearMonthsOf,
  dayUse,
  lastingOf,
  type PlanBasis,
  sunPlan,
  verdictOf,
  wallPlanOf,
} from '#energy/estimates/plan/planning';
import { planned, shedPlan } from '../../support/plans.ts';

const YEAR = 2026;
const LOADS = [planned('Freezer', 97, { hoursPerDay: 8.2, startFactor: 7 }), planned('Router', 8)];
const asked = { loads: LOADS, dullDays: 2, reservePct: 10, year: YEAR };
const sunOf = (basis: PlanBasis) => sunPlan(basis, clearMonthsOf(basis, YEAR)!, asked);
const panels = (ratedW: number) => [{ ratedW, tiltDeg: 40, azimuthDeg: 170, powerPerK: null }];

describe('the sun of a plan', () => {
  it('keeps up on no fewer days with more panel, in no month', () => {
    let before = sunOf(shedPlan({ panels: panels(50) })).months;
    for (const ratedW of [100, 200, 400, 800, 1600]) {
      const now = sunOf(shedPlan({ panels: panels(ratedW) })).months;
      for (const [i, month] of now.entries()) {
        expect(month.inTen).toBeGreaterThanOrEqual(before[i]!.inTen);
        expect(month.sunWh.p10).toBeGreaterThan(0);
      }
      before = now;
    }
  });

  it('is carried by the smallest panels on the mean day of every month, and by the smallest station through its dull days', () => {
    const basis = shedPlan({ solarMaxW: null });
    const { smallest } = sunOf(basis);
    const own = shedPlan({ solarMaxW: null, panels: panels(smallest!.panelW!), ratedWh: smallest!.stationWh });
    const { months } = sunOf(own);
    const need = dayUse(own, LOADS).need.p50;
    for (const month of months) {
      expect(0.94 * month.meanWh).toBeGreaterThanOrEqual(need * (1 - 1e-9));
      expect(month.dullDays ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(2 * (1 - 1e-9));
    }
    // No smaller: the worst month has nothing to spare.
    expect(Math.min(...months.map(m => 0.94 * m.meanWh))).toBeCloseTo(need, 6);
  });

  it('is that of 100 W towards the equator where no panels are told, on either half of the earth', () => {
    const north = sunOf(shedPlan({ panels: [] }));
    const south = sunOf(shedPlan({ panels: [], place: { ...shedPlan().place!, latitudeDeg: -45.5 } }));
    expect([north.assumedPanels, sunOf(shedPlan()).assumedPanels]).toEqual([true, false]);
    // Half a year apart, and the earth is nearer to the sun in January.
    expect(south.months[0]!.sunWh.p90 / north.months[6]!.sunWh.p90).toBeGreaterThan(0.9);
    expect(clearMonthsOf(shedPlan({ place: null }), YEAR)).toBeNull();
  });

  it('takes a panel as flat whose tilt is not told', () => {
    const told = (tiltDeg: number | null, azimuthDeg: number | null) =>
      clearMonthsOf(shedPlan({ panels: [{ ratedW: 100, tiltDeg, azimuthDeg, powerPerK: null }] }), YEAR)!.map(
        m => m.clearWh,
      );
    expect(told(null, null)).toEqual(told(0, 0));
    expect(told(30, null)).toEqual(told(0, 0));
    expect(told(30, 180)).not.toEqual(told(0, 0));
  });
});

describe('the hours of a plan', () => {
  it('are longer from full than from what is left, and longest with only what must stay on', () => {
    const found = lastingOf(shedPlan(), [...LOADS, planned('Lamp', 5, { mustStayOn: true })])!;
    expect(found.now!.p50).toBeLessThan(found.full.p50);
    expect(found.needed!.p50).toBeGreaterThan(found.full.p50);
    expect(lastingOf(shedPlan(), LOADS)!.needed).toBeNull();
    expect(lastingOf(shedPlan({ now: null }), LOADS)!.now).toBeNull();
    expect(lastingOf(shedPlan({ ratedWh: null }), LOADS)).toBeNull();
    expect(verdictOf(shedPlan(), LOADS).runsTogether).toBe(true);
  });

  it('use what was learned: a station that takes more for itself lasts shorter, a surer one has a narrower range', () => {
    const losses = shedPlan().losses;
    const thirsty = shedPlan({ losses: { ...losses, mean: [1.1, 30, 0.94] } });
    const unsure = shedPlan({ losses: { ...losses, covariance: losses.covariance.map(c => 25 * c) } });
    const [now, more, wide] = [shedPlan(), thirsty, unsure].map(basis => lastingOf(basis, LOADS)!.full);
    expect(more!.p50).toBeLessThan(now!.p50);
    expect(wide!.p90 - wide!.p10).toBeGreaterThan(now!.p90 - now!.p10);
  });
});

describe('the wall of a plan', () => {
  it('leaves what is kept for an outage alone: the more is kept, the less it goes through the battery', () => {
    const at = (reservePct: number) => wallPlanOf(shedPlan({ paid: null }), { loads: LOADS, reservePct })!;
    const [low, half, all] = [at(10), at(60), at(100)];
    expect(low.kind).toBe('saves');
    expect(half.cycles).toBeLessThan(low.cycles);
    expect(half.saves.p50).toBeLessThan(low.saves.p50);
    expect(all).toMatchObject({ kind: 'nothing', cycles: 0, on: [] });
    // Below the floor nothing is kept either.
    expect(at(0)).toEqual(low);
  });

  it('is asked with the list where no week is on record, and with three tenths of the label where no wall was seen', () => {
    const found = wallPlanOf(shedPlan({ weeks: [], wallCharge: null, paid: null }), { loads: LOADS, reservePct: 10 })!;
    expect(found).toMatchObject({ kind: 'saves', weeks: 0, wallW: 450, assumedWall: true });
    expect(wallPlanOf(shedPlan({ price: null }), { loads: LOADS, reservePct: 10 })).toBeNull();
    expect(wallPlanOf(shedPlan({ ratedWh: null }), { loads: LOADS, reservePct: 10 })).toBeNull();
  });
});
