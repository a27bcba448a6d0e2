/** Plan's worksheets against published ones, and its cloudless months against clear-sky days. */
import { describe, expect, it } from 'vitest';
import { clearDay, clearMonths } from '#energy/estimates/plan/clear-months';
import { SQUARE } from '#energy/estimates/plan/converter';
import { arrayW, batteryWh, PORTABLE_SHEET } from '#energy/estimates/plan/worksheet';
import { panelsOf } from '#energy/panel-power';
import { CLEAR_DAYS } from '../../reference/clear-sky.ts';
import {
  BATTERY_CONVERTERS,
  LEAD_ACID_FACTORS,
  LEAD_ACID_SHEET,
  PORTABLE,
  STRINGS,
  TWO_CHEMISTRIES,
  VENDOR_SHEET,
} from '../../reference/sizing.ts';

const flat = (peakW: number) => ({ ...panelsOf(peakW), plane: { tiltDeg: 0, azimuthDeg: 0 } });

describe('the worksheet beside the plan', () => {
  it('gives what public lead-acid worksheets give, step by step', () => {
    const { loadWhPerDay, autonomyDays, usableShare, tempC, stepsWh, ampHoursAt12V } = LEAD_ACID_SHEET;
    const temperatureFactor = new Map(LEAD_ACID_FACTORS).get(tempC)!;
    expect(batteryWh({ loadWhPerDay, autonomyDays, usableShare: 1 })).toBeCloseTo(stepsWh[0], 6);
    expect(batteryWh({ loadWhPerDay, autonomyDays, usableShare })).toBeCloseTo(stepsWh[1], 6);
    const whole = batteryWh({ loadWhPerDay, autonomyDays, usableShare, temperatureFactor });
    expect(whole).toBeCloseTo(stepsWh[2], 6);
    expect(whole / 12).toBeCloseTo(ampHoursAt12V, 3);
    for (const [share, energyWh] of [TWO_CHEMISTRIES.leadAcid, TWO_CHEMISTRIES.lithium])
      expect(batteryWh({ ...TWO_CHEMISTRIES, usableShare: share })).toBeCloseTo(energyWh, 6);
    expect(VENDOR_SHEET.more * batteryWh(VENDOR_SHEET)).toBeCloseTo(VENDOR_SHEET.energyWh, 6);
  });

  it('gives the portable worksheet and the formulas of the standards', () => {
    expect(batteryWh(PORTABLE)).toBeCloseTo(PORTABLE.nameplateWh, 3);
    const { arrayToLoad, balanceW, withRatioW, autonomyDays: _, ...sheet } = PORTABLE;
    expect(arrayW(sheet)).toBeCloseTo(balanceW, 3);
    expect(arrayW({ ...sheet, arrayToLoad })).toBeCloseTo(withRatioW, 3);
    expect(arrayW({ ...PORTABLE_SHEET, loadWhPerDay: 600, sunHours: 3 })).toBeCloseTo(withRatioW, 3);
    // Strings in amperes: the same sum with ampere-hours for watt-hours.
    const { loadAh, arrayToLoad: ratio, lossShare, maxPowerA, sunHours, strings } = STRINGS;
    const losses = { inverterShare: 1, chargeShare: 1, panelShare: 1 - lossShare };
    expect(arrayW({ loadWhPerDay: loadAh, arrayToLoad: ratio, ...losses, sunHours }) / maxPowerA).toBeCloseTo(
      strings,
      6,
    );
    expect(arrayW({ ...sheet, sunHours: 0 })).toBe(Number.POSITIVE_INFINITY);
  });
});

describe('cloudless days by month', () => {
  it('sum to the published clear-sky days, within half a percent', () => {
    // Above 2500 m the law is held at that height on purpose.
    for (const day of CLEAR_DAYS.filter(d => d.altitudeM <= 2500)) {
      const place = { ...day, turbidity: 3 };
      const { sunHours } = clearDay(Date.parse(`${day.date}T00:00:00Z`), place, [flat(100)], null);
      expect(Math.abs(sunHours - day.ghiKwhM2)).toBeLessThanOrEqual(0.005 * Math.max(0.2, day.ghiKwhM2));
    }
  });

  it('are the mean of their month, most in summer of either half of the earth, none in a polar night', () => {
    const months = (latitudeDeg: number) =>
      clearMonths({ latitudeDeg, longitudeDeg: 10, altitudeM: 0, turbidity: 3 }, [flat(100)], null, 2026);
    const may = Array.from({ length: 31 }, (_, i) =>
      clearDay(
        Date.UTC(2026, 4, i + 1),
        { latitudeDeg: 50, longitudeDeg: 10, altitudeM: 0, turbidity: 3 },
        [flat(100)],
        null,
      ),
    );
    const mean = may.reduce((sum, d) => sum + d.clearWh, 0) / 31;
    expect(months(50)[4]!.clearWh / mean).toBeCloseTo(1, 2);
    const best = (latitudeDeg: number) => months(latitudeDeg).reduce((a, b) => (b.clearWh > a.clearWh ? b : a)).month;
    expect([best(50), best(-35)]).toEqual([6, 12]);
    expect(months(75)[11]!.clearWh).toBe(0);
    expect(months(50).every(m => m.clearWh >= 0 && m.clearWh === m.freeWh)).toBe(true);
  });

  it('never pass what the ports take', () => {
    const place = { latitudeDeg: 40, longitudeDeg: -3, altitudeM: 600, turbidity: 3 };
    const day = clearDay(Date.UTC(2026, 5, 21), place, [flat(400)], 100);
    expect(day.clearWh).toBeLessThan(day.freeWh);
    expect(day.clearWh).toBeLessThanOrEqual(100 * 15);
  });
});

describe('the square term', () => {
  it('is that of converters at battery voltage in the list of the California Energy Commission', () => {
    for (const [share, efficiency] of BATTERY_CONVERTERS)
      expect((0.0136 + 1.016 * share + SQUARE * share ** 2) / (share / efficiency)).toBeCloseTo(1, 2);
  });
});
