/** Charging at the right hours: against every way there is on short weeks, and what must hold on whole ones. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bestWallHours, hourMoves, step, type WallHours, type WallStation } from '#energy/estimates/plan/wall-hours';
import { liveWeek, usualWeek, WEEKS_A_MONTH, wallAdvice } from '#energy/estimates/plan/wall-worth';

const station: WallStation = { usableWh: 900, wallW: 300, outCost: 1.1, ownW: 10, inWorth: 0.95, wearPerWh: 0 };
const HOUR_STEPS = 12;

/** The cheapest of all ways of being on or off, from every content; tried one after the other. */
function everyWay(hours: WallHours, of: WallStation, steps: number): number {
  const stepWh = of.usableWh / steps;
  const moves = hourMoves(hours, of, stepWh);
  let best = Number.POSITIVE_INFINITY;
  for (let start = 0; start <= steps; start++)
    for (let bits = 0; bits < 2 ** moves.length; bits++) {
      let [content, cost, allowed] = [start, 0, true];
      for (const [h, move] of moves.entries()) {
        const next = step(move, content, ((bits >> h) & 1) === 1, steps, stepWh, of);
        if (next === null) {
          allowed = false;
          break;
        }
        content = next.to;
        cost += next.cost;
      }
      if (allowed && content >= start && cost < best) best = cost;
    }
  return best;
}

const anyHours = fc.integer({ min: 3, max: 8 }).chain(n => {
  const list = (max: number) => fc.array(fc.double({ min: 0, max, noNaN: true }), { minLength: n, maxLength: n });
  return fc.record({ perKWh: list(1), loadW: list(400), sunW: list(300) });
});

describe('the hours to be plugged in', () => {
  it('are as cheap as the cheapest of all ways, whatever prices, loads and sun', () => {
    fc.assert(
      fc.property(anyHours, fc.constantFrom(0, 0.0002), (hours, wearPerWh) => {
        const of = { ...station, wearPerWh };
        expect(bestWallHours(hours, of, HOUR_STEPS).cost).toBeCloseTo(everyWay(hours, of, HOUR_STEPS), 9);
      }),
      { numRuns: 40 },
    );
  });

  it('are the cheap night for a dear day: 100 W at 0.10 by night and 0.40 by day', () => {
    const perKWh = Array.from({ length: 24 }, (_, h) => (h < 6 ? 0.1 : 0.4));
    const day = { perKWh, loadW: perKWh.map(() => 30), sunW: perKWh.map(() => 0) };
    const { on, cost } = bestWallHours(day, station);
    expect(on.slice(0, 6).some(is => is)).toBe(true);
    // 30 W take 43 Wh of the label an hour: 18 hours are 774 Wh, which the battery holds.
    expect(on.slice(6).every(is => !is)).toBe(true);
    // 774 Wh and what the night itself needs, bought at 0.10.
    expect(cost).toBeLessThan(0.14);
    expect(cost).toBeGreaterThan((0.1 * 774) / 0.95 / 1000);
  });

  it('never take from what is kept, in no week that is lived', () => {
    fc.assert(
      fc.property(anyHours, anyHours, (hours, other) => {
        const n = Math.min(hours.perKWh.length, other.perKWh.length);
        const cut = (week: WallHours): WallHours => ({
          perKWh: week.perKWh.slice(0, n),
          loadW: week.loadW.slice(0, n),
          sunW: week.sunW.slice(0, n),
        });
        const plan = bestWallHours(cut(hours), station, HOUR_STEPS);
        const { takenWh, cost } = liveWeek(cut(other), plan, station);
        const broughtWh =
          plan.startWh + cut(other).sunW.reduce((sum, w) => sum + 0.95 * w, 0) + n * 0.95 * station.wallW;
        expect(takenWh).toBeGreaterThanOrEqual(0);
        expect(takenWh).toBeLessThanOrEqual(broughtWh + 1e-6);
        expect(Number.isFinite(cost)).toBe(true);
      }),
      { numRuns: 40 },
    );
  });
});

describe('what the right hours are worth', () => {
  const prices = (night: number, day: number) => Array.from({ length: 168 }, (_, h) => (h % 24 < 6 ? night : day));
  const week = (loadW: number) => ({
    loadW: Array.from({ length: 168 }, () => loadW),
    sunW: Array.from({ length: 168 }, () => 0),
  });
  const { wearPerWh: _, ...bare } = station;
  const asked = { weeks: [week(30), week(25), week(35)], usualLoadW: 30, station: bare, ratedWh: 1000, paid: null };

  it('is nothing where every hour costs the same', () => {
    expect(wallAdvice({ ...asked, perKWh: prices(0.3, 0.3) })).toMatchObject({
      kind: 'flat',
      on: [],
      saves: { p10: 0, p50: 0, p90: 0 },
    });
  });

  it('is the difference of the prices less the losses, by hand: 30 W from 06:00 to midnight', () => {
    const found = wallAdvice({ ...asked, perKWh: prices(0.1, 0.4) });
    expect(found.kind).toBe('saves');
    // Each day: 18 h of 40 W (30 and its own 10) at 0.40 are saved; 18 h · 43 Wh / 0.95 are bought at 0.10.
    const dayWorth = 18 * 0.04 * 0.4 - (18 * 0.043 * 0.1) / 0.95;
    expect(found.saves.p50 / (7 * WEEKS_A_MONTH * dayWorth)).toBeCloseTo(1, 1);
    expect(found.saves.p10).toBeLessThan(found.saves.p90);
    expect(found.cycles).toBeCloseTo((18 * 43 * 7 * WEEKS_A_MONTH) / 1000, -0.5);
    expect(found.wear).toBeNull();
    // The same every day of the week.
    for (let h = 0; h < 168; h++) expect(found.on[h]).toBe(found.on[h % 24]);
  });

  it('takes off what the battery wears, and says so where that eats all of it', () => {
    const cheap = wallAdvice({ ...asked, perKWh: prices(0.1, 0.4), paid: 300 });
    expect(cheap.kind).toBe('saves');
    expect(cheap.wear).toBeCloseTo((300 / 3000) * cheap.cycles, 9);
    expect(cheap.saves.p50).toBeLessThan(wallAdvice({ ...asked, perKWh: prices(0.1, 0.4) }).saves.p50);
    expect(wallAdvice({ ...asked, perKWh: prices(0.1, 0.4), paid: 1500 }).kind).toBe('nothing');
    // Prices too near each other for the losses.
    expect(wallAdvice({ ...asked, perKWh: prices(0.3, 0.33) }).kind).toBe('nothing');
    expect(wallAdvice({ ...asked, perKWh: prices(0.1, 0.4), station: { ...bare, usableWh: 0 } }).kind).toBe('nothing');
  });

  it('holds in weeks that take more than the usual one, where a plan to the last watt-hour runs dry at the dear hour', () => {
    const weeks = [week(48), week(50), week(60)];
    const usual = usualWeek({ perKWh: prices(0.1, 0.4), weeks, usualLoadW: 50 });
    const tight = bestWallHours(usual, station);
    const [less, more] = [50, 60].map(
      loadW => liveWeek({ ...usual, loadW: usual.loadW.map(() => loadW) }, tight, station).cost,
    );
    const found = wallAdvice({ ...asked, weeks, perKWh: prices(0.1, 0.4) });
    const lived = weeks.map(w => liveWeek({ ...usual, ...w }, { on: found.on, startWh: 0, cost: 0 }, station).cost);
    expect(more! - less!).toBeGreaterThan(0);
    const tightly = weeks.map(w => liveWeek({ ...usual, ...w }, { ...tight, startWh: 0 }, station).cost);
    const sum = (costs: number[]) => costs.reduce((total, cost) => total + cost, 0);
    expect(sum(lived)).toBeLessThan(sum(tightly));
    expect(found.saves.p10).toBeGreaterThan(0);
  });

  it('uses the sun first and charges less from the wall for it', () => {
    const sunny = {
      loadW: week(60).loadW,
      sunW: Array.from({ length: 168 }, (_, h) => (h % 24 >= 10 && h % 24 < 15 ? 150 : 0)),
    };
    const found = wallAdvice({ ...asked, weeks: [sunny, sunny, sunny], perKWh: prices(0.1, 0.4) });
    const without = wallAdvice({ ...asked, weeks: [week(60), week(60), week(60)], perKWh: prices(0.1, 0.4) });
    expect(found.cycles).toBeLessThan(without.cycles);
  });

  it('takes days of equal prices as alike, and fills what was not recorded with the usual', () => {
    const holes = {
      loadW: Array.from({ length: 168 }, (_, h) => (h < 24 ? 50 : null)),
      sunW: Array.from({ length: 168 }, () => null),
    };
    const usual = usualWeek({ perKWh: prices(0.1, 0.4), weeks: [holes], usualLoadW: 20 });
    expect(usual.loadW.every(w => w === 50)).toBe(true);
    expect(usualWeek({ perKWh: prices(0.1, 0.4), weeks: [], usualLoadW: 20 }).loadW[100]).toBe(20);
    const few = wallAdvice({ ...asked, weeks: [], perKWh: prices(0.1, 0.4) });
    expect(few.saves.p90).toBeGreaterThan(few.saves.p10);
  });
});
