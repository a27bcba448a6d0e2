/** Whether the sun carries the need, month by month, and the smallest that would: hand-worked, and for any panels. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ClearMonth } from '#energy/estimates/plan/clear-months';
import { monthOutlook, smallest } from '#energy/estimates/plan/keeping-up';
import { type RecordedDay, UNKNOWN_WEATHER, weatherOf } from '#energy/estimates/plan/weather';

const month = (n: number, clearWh: number): ClearMonth => ({
  month: n,
  clearWh,
  freeWh: clearWh,
  sunHours: clearWh / 80,
});
const weather = (...clearness: number[]) => ({ clearness, from: 'month' as const, days: clearness.length });
const days = (monthOf: string, clearness: readonly number[]): RecordedDay[] =>
  clearness.map((c, i) => ({ date: `2026-${monthOf}-${String(i + 1).padStart(2, '0')}`, clearness: c }));

describe('a month', () => {
  // Ten days from dull to clear: 100 to 1000 Wh of a cloudless 1000.
  const tenDays = weather(...Array.from({ length: 10 }, (_, i) => (i + 1) / 10));
  const need = { needWh: 475, inWorth: 0.95, usableWh: 900 };

  it('counts the days of ten that bring the need, and the dull days that the battery carries', () => {
    const june = monthOutlook(month(6, 1000), tenDays, need);
    expect(june.sunWh).toEqual({ p10: 100, p50: 500, p90: 900 });
    expect(june.meanWh).toBeCloseTo(550, 9);
    // 500 Wh and more are worth 475: six of the ten.
    expect(june.inTen).toBe(6);
    // A dull day of 100 Wh is worth 95 and leaves 380 missing.
    expect(june.dullDays).toBeCloseTo(900 / 380, 9);
    expect(monthOutlook(month(6, 5000), tenDays, need).dullDays).toBeNull();
    expect(monthOutlook(month(12, 0), tenDays, need)).toMatchObject({ inTen: 0, meanWh: 0 });
  });

  it('keeps up on no fewer days with more panel, nor on more days with more load', () => {
    const watts = fc.double({ min: 0, max: 3000, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 1.3, noNaN: true }), { minLength: 1, maxLength: 30 }),
        watts,
        watts,
        watts,
        (shares, clearWh, moreWh, needWh) => {
          const sky = weather(...shares.sort((a, b) => a - b));
          const of = (wh: number, needed: number) => monthOutlook(month(5, wh), sky, { ...need, needWh: needed });
          const [before, bigger, hungrier] = [
            of(clearWh, needWh),
            of(clearWh + moreWh, needWh),
            of(clearWh, needWh + moreWh),
          ];
          expect(bigger.inTen).toBeGreaterThanOrEqual(before.inTen);
          expect(hungrier.inTen).toBeLessThanOrEqual(before.inTen);
          expect(bigger.dullDays ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(
            (before.dullDays ?? Number.POSITIVE_INFINITY) * (1 - 1e-12),
          );
          for (const { sunWh, inTen } of [before, bigger, hungrier]) {
            expect(sunWh.p10 >= 0 && sunWh.p10 <= sunWh.p50 && sunWh.p50 <= sunWh.p90).toBe(true);
            expect(inTen >= 0 && inTen <= 10).toBe(true);
          }
        },
      ),
    );
  });
});

describe('the smallest that would do', () => {
  const even = weather(0.5);
  const year = [month(6, 800), month(12, 200)].map(clear => ({ clear, weather: even }));
  const need = { needWh: 190, inWorth: 0.95, dullDays: 2, usableShare: 0.9 };

  it('is by the worst month: its mean day carries the need, the battery the dull days', () => {
    // December's mean day brings 200 · 0.5 · 0.95 = 95 Wh a day from 100 W: twice the panels carry 190.
    const found = smallest(year, 100, need);
    expect(found).toMatchObject({ month: 12 });
    expect(found.panelW).toBeCloseTo(200, 9);
    // Dull days there are like all others and carry it too, but not through the night.
    expect(found.stationWh).toBeCloseTo((0.67 * 190) / 0.9, 6);
  });

  it('carries whole dull days where they bring nothing, and names no panels where there is no sun', () => {
    const dark = [month(6, 800), month(12, 0)].map(clear => ({ clear, weather: even }));
    expect(smallest(dark, 100, need)).toEqual({ month: 12, panelW: null, stationWh: (2 * 190) / 0.9 });
    const halfDull = [{ clear: month(12, 200), weather: weather(0, 0, 1, 1) }];
    expect(smallest(halfDull, 100, need).stationWh).toBeCloseTo((2 * 190) / 0.9, 9);
  });
});

describe('how clear days are', () => {
  it('is the owner’s own month, else the season, else the whole record, else unknown weather', () => {
    const ten = [0.9, 0.2, 0.5, 0.5, 0.4, 0.3, 0.8, 0.7, 1.7, -0.1];
    const own = weatherOf(days('07', ten), 7);
    expect(own).toMatchObject({ from: 'month', days: 10 });
    expect(own.clearness[0]).toBe(0);
    expect(own.clearness.at(-1)).toBe(1.3);
    expect(weatherOf([...days('07', ten), ...days('06', ten.slice(0, 5))], 6)).toMatchObject({
      from: 'season',
      days: 15,
    });
    expect(weatherOf([...days('12', ten), ...days('11', ten.slice(0, 5))], 1)).toMatchObject({ from: 'assumed' });
    expect(weatherOf([...days('12', ten), ...days('01', ten.slice(0, 5))], 1)).toMatchObject({ from: 'season' });
    expect(weatherOf([...days('07', ten), ...days('06', ten)], 1)).toMatchObject({ from: 'record', days: 20 });
    expect(weatherOf(days('07', ten.slice(0, 9)), 7)).toEqual({ clearness: UNKNOWN_WEATHER, from: 'assumed', days: 0 });
  });

  it('is anything from dull to clear where nothing is known, as the coming days are taken to be', () => {
    expect(UNKNOWN_WEATHER[0]).toBeGreaterThan(0.15);
    expect(UNKNOWN_WEATHER.at(-1)).toBeLessThan(1);
    expect(UNKNOWN_WEATHER.reduce((sum, k) => sum + k, 0) / UNKNOWN_WEATHER.length).toBeCloseTo(0.575, 6);
  });
});
