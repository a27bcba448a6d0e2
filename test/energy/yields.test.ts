import { describe, expect, it } from 'vitest';
import {
  capacityFactor,
  captureLossH,
  dataAvailability,
  performanceRatio,
  referenceYieldH,
  systemLossH,
  temperatureCorrectedRatio,
  yieldH,
} from '#energy/yields';
import { AVAILABILITY, REAL_DAYS, REAL_DAYS_RATIO, WORKED_YIELDS } from '../reference/yields.ts';

const near = (found: number | null, expected: number, tolerance = 1e-6) =>
  expect(Math.abs(found! - expected)).toBeLessThanOrEqual(tolerance);

describe('the yields', () => {
  it('are checked on a worked example, five days and four gaps', () => {
    expect([REAL_DAYS.length, AVAILABILITY.length]).toEqual([5, 4]);
  });

  it('are those of the worked example', () => {
    const w = WORKED_YIELDS;
    near(referenceYieldH(w.planeKwhM2), w.referenceH);
    near(yieldH(w.energyKwh, w.peakKw), w.finalH);
    near(performanceRatio(w.finalH, w.referenceH), w.ratio);
    near(capacityFactor(w.energyKwh, w.peakKw, 24), w.capacityFactor);
    // One record stands for the day: 1.62 kWh and 5.4 kWh/m² in equal proportion.
    const records = [{ powerW: 300, planeWm2: 1000, cellTempC: 48 }];
    near(temperatureCorrectedRatio(records, 400, -0.0035), w.correctedRatio);
  });

  it.each(REAL_DAYS)('are those of a real system on $date', day => {
    const referenceH = referenceYieldH(day.planeKwhM2);
    const arrayH = yieldH(day.dcKwh, 204.12);
    const finalH = yieldH(day.acKwh, 204.12);
    near(referenceH, day.referenceH);
    near(arrayH, day.arrayH);
    near(finalH, day.finalH);
    near(performanceRatio(finalH, referenceH), day.ratio);
    near(captureLossH(referenceH, arrayH), day.captureLossH);
    near(systemLossH(arrayH, finalH), day.systemLossH);
    near(capacityFactor(day.acKwh, 204.12, 24), day.capacityFactor);
  });

  it('of days together are sums, not means of ratios', () => {
    const sum = (key: 'acKwh' | 'planeKwhM2') => REAL_DAYS.reduce((total, day) => total + day[key], 0);
    near(performanceRatio(yieldH(sum('acKwh'), 204.12), referenceYieldH(sum('planeKwhM2'))), REAL_DAYS_RATIO);
  });

  it('corrected by the mean temperature of the same records are the plain ratio again', () => {
    const records = [
      { powerW: 200, planeWm2: 800, cellTempC: 40 },
      { powerW: 90, planeWm2: 400, cellTempC: 25 },
    ];
    const light = records.reduce((sum, r) => sum + r.planeWm2, 0);
    const meanTempC = records.reduce((sum, r) => sum + r.planeWm2 * r.cellTempC, 0) / light;
    near(temperatureCorrectedRatio(records, 400, -0.004, meanTempC), 290 / (0.4 * light), 1e-12);
  });

  it('have no ratio where there was no sun', () => {
    expect(performanceRatio(0, 0)).toBeNull();
    expect(temperatureCorrectedRatio([], 400, -0.004)).toBeNull();
    expect(dataAvailability(0, 0)).toBeNull();
  });

  it.each(AVAILABILITY)('rest on less where %d minutes of a day are missing', (missing, availability) =>
    near(dataAvailability(1440 - missing, 1440), availability),
  );
});
