import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { civilDayOf } from '#energy/civil-day';
import { faimanTempC, rossTempC } from '#energy/laws/cell-temperature';
import { delivered } from '#energy/laws/port-limits';
import { dcPowerW, FIXED_LOSSES_PCT, lossShare, PORTABLE_LOSSES_PCT } from '#energy/laws/pvwatts';
import { onPlane, panelPowerW, panelsOf } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import { CELL_TEMPERATURES, LOSSES_PCT, PVWATTS } from '../reference/module.ts';

const near = (found: number, expected: number, tolerance: number) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(tolerance);

describe('watts from light and warmth', () => {
  it('have 12 rows', () => expect(PVWATTS).toHaveLength(12));

  it.each(PVWATTS)('%f W/m² at %f °C on %f W, %f per K', (light, cellTempC, peakW, perK, expected) =>
    near(dcPowerW(light, cellTempC, peakW, perK), expected, 1e-6 * Math.max(1, expected)),
  );

  it('lose what the stated lists say', () => {
    near(100 * lossShare(FIXED_LOSSES_PCT), LOSSES_PCT.fixed, 1e-6);
    near(100 * lossShare(PORTABLE_LOSSES_PCT), LOSSES_PCT.portable, 1e-6);
  });
});

describe('the warmth of the cells', () => {
  it('has 9 rows', () => expect(CELL_TEMPERATURES).toHaveLength(9));

  it.each(CELL_TEMPERATURES)('%d W/m², air %d °C, wind %f m/s', (light, airTempC, windMs, noct45, noct47, faiman) => {
    near(rossTempC(light, airTempC, 45), noct45, 0.001);
    near(rossTempC(light, airTempC), noct47, 0.001);
    near(faimanTempC(light, airTempC, windMs), faiman, 0.001);
  });
});

describe('what a port takes', () => {
  const port = { minV: 16, maxV: 82, maxA: 9, maxW: 400 };

  it.each([
    [270, 56, 67, 270, 'nothing'],
    [600, 56, 67, 400, 'watts'],
    [540, 37, 45, 333, 'amps'],
    [90, 14, 22, 0, 'tooLow'],
    [450, 93, 112, 0, 'tooHigh'],
  ] as const)('of %d W at %d V, %d V open, is %d W, limited by %s', (offered, operatingV, openV, powerW, limitedBy) => {
    expect(delivered(offered, operatingV, openV, port)).toEqual({ powerW, limitedBy });
  });

  it('is all of it where the manual states no limit', () => {
    const silent = { minV: null, maxV: null, maxA: null, maxW: null };
    expect(delivered(600, 120, 150, silent)).toEqual({ powerW: 600, limitedBy: 'nothing' });
  });

  it('never exceeds a limit nor what is offered', () => {
    const volts = fc.double({ min: 0, max: 150, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 0, max: 2000, noNaN: true }), volts, volts, (offeredW, a, b) => {
        const [operatingV, openV] = [Math.min(a, b), Math.max(a, b)];
        const { powerW } = delivered(offeredW, operatingV, openV, port);
        expect(powerW).toBeGreaterThanOrEqual(0);
        expect(powerW).toBeLessThanOrEqual(Math.min(offeredW, port.maxW, port.maxA * operatingV + 1e-9));
      }),
    );
  });
});

describe('panels under the sky', () => {
  const place = { latitudeDeg: 46.05, longitudeDeg: 7.1, altitudeM: 1500, turbidity: 3 };

  it('give nothing at night and never less than nothing', () => {
    const skyAt = clearSkyOver(place);
    const any = fc.record({
      at: fc.integer({ min: Date.UTC(1990, 0, 1), max: Date.UTC(2050, 0, 1) }),
      tiltDeg: fc.double({ min: 0, max: 90, noNaN: true }),
      azimuthDeg: fc.double({ min: 0, max: 360, noNaN: true }),
      tempC: fc.double({ min: -40, max: 50, noNaN: true }),
      windMs: fc.option(fc.double({ min: 0, max: 30, noNaN: true })),
    });
    fc.assert(
      fc.property(any, ({ at, tiltDeg, azimuthDeg, ...air }) => {
        const sky = skyAt(at);
        const watts = panelPowerW(onPlane(sky, { tiltDeg, azimuthDeg }), air, panelsOf(100));
        expect(watts).toBeGreaterThanOrEqual(0);
        expect(watts).toBeLessThan(160);
        if (sky.sun.apparentElevationDeg < 0) expect(watts).toBe(0);
      }),
      { numRuns: 500 },
    );
  });

  it('make 300-500 Wh of 100 W on an average day', () => {
    // Common practice, no source. Average: a panel tilted to the latitude at 46° N in March, whose clear day is dimmed to
    // 0.55-0.75 by clouds (long-run sunshine of such places; own judgement).
    const { startMs, endMs } = civilDayOf(Date.parse('2025-03-20T12:00:00Z'), 'Europe/Zurich');
    const skyAt = clearSkyOver({ ...place, altitudeM: 500 });
    let clearWh = 0;
    for (let at = startMs; at < endMs; at += 60_000)
      clearWh +=
        panelPowerW(onPlane(skyAt(at), { tiltDeg: 46, azimuthDeg: 180 }), { tempC: 10, windMs: null }, panelsOf(100)) /
        60;
    expect(0.55 * clearWh).toBeGreaterThan(300);
    expect(0.75 * clearWh).toBeLessThan(500);
  });
});
