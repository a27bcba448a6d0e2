import { describe, expect, it } from 'vitest';
import { PANEL_DIODE } from '../../simulators/honey-shed.ts';
import {
  currentAt,
  type Diode,
  type DiodeFacts,
  darkDiode,
  maxPower,
  openCircuitV,
  partOf,
  shortCircuitA,
  translate,
  voltageAt,
} from '../../simulators/plant/electric/diode.ts';
import { BARE_DIODE, MODULES, OPERATING_POINTS } from '../reference/diodes.ts';
import { fc } from './property.ts';

const lit = (facts: DiodeFacts, irradianceWm2: number, cellTempC: number): Diode => {
  const diode = darkDiode();
  translate(facts, irradianceWm2, cellTempC, diode);
  return diode;
};

describe('a module as a single diode', () => {
  it('has the published points where nothing is translated', () => {
    const { lightA, saturationA, seriesOhm, shuntOhm, idealityV } = BARE_DIODE;
    const diode = { lightA, saturationA, seriesOhm, shuntOhm, idealityV, slopeOhm: 0 };
    expect(shortCircuitA(diode)).toBeCloseTo(BARE_DIODE.shortCircuitA, 8);
    expect(openCircuitV(diode)).toBeCloseTo(BARE_DIODE.openCircuitV, 8);
    const best = maxPower(diode);
    expect(best.currentA).toBeCloseTo(BARE_DIODE.maxPowerA, 7);
    expect(best.voltageV).toBeCloseTo(BARE_DIODE.maxPowerV, 7);
    expect(best.powerW).toBeCloseTo(BARE_DIODE.maxPowerW, 8);
  });

  it('meets all 54 points of five published sets in light and temperature', () => {
    expect(OPERATING_POINTS).toHaveLength(54);
    for (const point of OPERATING_POINTS) {
      const diode = lit(MODULES[point.module], point.irradianceWm2, point.cellTempC);
      const best = maxPower(diode);
      const near = (ours: number, theirs: number) => expect(Math.abs(ours - theirs)).toBeLessThan(1e-4);
      near(openCircuitV(diode), point.openCircuitV);
      near(shortCircuitA(diode), point.shortCircuitA);
      near(best.voltageV, point.maxPowerV);
      near(best.currentA, point.maxPowerA);
      near(best.powerW, point.maxPowerW);
    }
  });

  it('gives the same curve read by voltage and by current, and no point above its best', () => {
    const unit = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(unit, unit, unit, (light, warm, along) => {
        const diode = lit(MODULES.thirtySixCells, 5 + 1300 * light, -25 + 100 * warm);
        const volts = openCircuitV(diode) * along;
        const amps = currentAt(diode, volts);
        expect(voltageAt(diode, amps)).toBeCloseTo(volts, 5);
        expect(volts * amps).toBeLessThanOrEqual(maxPower(diode).powerW + 1e-9);
      }),
    );
  });

  it('adds up from its parts', () => {
    const whole = lit(MODULES.thirtySixCells, 700, 40);
    const half = lit(partOf(MODULES.thirtySixCells, 0.5), 700, 40);
    for (const amps of [0, 1, 3, 4]) expect(2 * voltageAt(half, amps)).toBeCloseTo(voltageAt(whole, amps), 9);
  });
});

describe('the shed’s folding panel', () => {
  it('has the figures of its label: 22.4 V, 5.1 A, 18.6 V, 4.84 A, −0.31 %/K', () => {
    const diode = lit(PANEL_DIODE, 1000, 25);
    expect(openCircuitV(diode)).toBeCloseTo(22.4, 4);
    expect(shortCircuitA(diode)).toBeCloseTo(5.1, 4);
    expect(maxPower(diode).voltageV).toBeCloseTo(18.6, 3);
    expect(maxPower(diode).currentA).toBeCloseTo(4.84, 3);
    const perK = (openCircuitV(lit(PANEL_DIODE, 1000, 27)) - openCircuitV(diode)) / 2;
    expect((perK / 22.4) * 100).toBeCloseTo(-0.31, 3);
    const powerPerK = (maxPower(lit(PANEL_DIODE, 1000, 45)).powerW / maxPower(diode).powerW - 1) / 20;
    expect(powerPerK * 100).toBeGreaterThan(-0.39);
    expect(powerPerK * 100).toBeLessThan(-0.35);
  });
});
