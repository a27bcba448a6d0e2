import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chargeAt, energyAt, LFP_MAP } from '#energy/estimates/energy-map';
import { createGauge, type Gauge } from '#energy/estimates/gauge';
import { freshGauge } from '#energy/estimates/gauge-belief';
import { createDischargeLog } from '#energy/estimates/own-map';

const MINUTE = 60_000;

interface True {
  outCost: number;
  ownW: number;
  ratedWh: number;
}

/** A station that shows the nearest whole percent, on the chemistry's own map. */
function run(
  gauge: Gauge,
  station: True,
  loadW: (minute: number) => number,
  minutes: number,
  fromPct = 90,
  fromMinute = 0,
) {
  let energyPct = energyAt(LFP_MAP, fromPct);
  for (let m = 0; m < minutes; m++) {
    const watts = loadW(m);
    gauge.add({
      at: (fromMinute + m) * MINUTE,
      outputW: watts,
      inputW: 0,
      stateOfChargePct: Math.round(chargeAt(LFP_MAP, energyPct)),
    });
    energyPct -= ((station.outCost * watts + station.ownW) / 60 / station.ratedWh) * 100;
  }
  return chargeAt(LFP_MAP, energyPct);
}

describe('the energy map', () => {
  it('gives back the charge it was asked with', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 100, noNaN: true }), pct => {
        expect(chargeAt(LFP_MAP, energyAt(LFP_MAP, pct))).toBeCloseTo(pct, 6);
      }),
    );
  });
  it('holds nine tenths of a tenth in its last tenth: 8.6 to 9.4 % between C/2 and C/20', () => {
    expect(energyAt(LFP_MAP, 10)).toBeGreaterThan(8.5);
    expect(energyAt(LFP_MAP, 10)).toBeLessThan(9.5);
  });
});

describe('the gauge', () => {
  const station = { outCost: 1.2, ownW: 16, ratedWh: 1000 };

  it('learns what a percent is worth and what the station draws for itself, from a load that varies', () => {
    const gauge = createGauge(1000, freshGauge(true));
    run(gauge, station, m => (m % 60 < 20 ? 160 : 10), 600);
    const { mean, covariance } = gauge.belief();
    expect(Math.abs(mean[0] - 1.2)).toBeLessThan(3 * Math.sqrt(covariance[0]!));
    expect(Math.abs(mean[1] - 16)).toBeLessThan(3 * Math.sqrt(covariance[4]!));
    expect(Math.abs((mean[0] * 60 + mean[1]) / (1.2 * 60 + 16) - 1)).toBeLessThan(0.03);
  });

  it('is not misled by readings so rare that a tick is seen late', () => {
    for (const fromPct of [90, 90.2, 90.4]) {
      const gauge = createGauge(1000, freshGauge(true));
      run(gauge, station, m => (m % 120 < 60 ? 300 : 100), 160, fromPct);
      const [cost, own] = gauge.belief().mean;
      expect(Math.abs((cost * 200 + own) / (1.2 * 200 + 16) - 1)).toBeLessThan(0.05);
    }
  });

  it('learns the size of a station without a label', () => {
    const gauge = createGauge(1000, freshGauge(false));
    run(gauge, { outCost: 1.1, ownW: 12, ratedWh: 2500 }, () => 200, 600);
    const [cost, own] = gauge.belief().mean;
    // In thousandths of the assumed kilowatt-hour: 2.5 times less.
    expect(cost * 200 + own).toBeCloseTo((1.1 * 200 + 12) / 2.5, -1);
  });

  it('knows where it stands between two percents', () => {
    const gauge = createGauge(1000, freshGauge(true));
    const truth = run(gauge, station, () => 100, 200);
    expect(gauge.place()!.doubtPct).toBe(0);
    expect(gauge.place()!.pct).toBeCloseTo(truth, 0);
  });

  it('doubts the whole percent before the first tick and after a time without readings', () => {
    const gauge = createGauge(1000, freshGauge(true));
    run(gauge, station, () => 100, 3);
    expect(gauge.place()).toEqual({ pct: 90, doubtPct: 0.5 });
    run(gauge, station, () => 100, 60, 80, 10);
    run(gauge, station, () => 100, 2, 60, 100);
    expect(gauge.place()!.doubtPct).toBe(0.5);
  });

  it('takes a change that no energy explains for a correction, and learns nothing from it', () => {
    const gauge = createGauge(1000, freshGauge(true));
    run(gauge, station, () => 100, 60);
    const before = gauge.belief();
    gauge.add({ at: 60 * MINUTE, outputW: 100, inputW: 0, stateOfChargePct: 60 });
    expect(gauge.jumpedAt()).toBe(60 * MINUTE);
    expect(gauge.belief().mean).toEqual(before.mean);
  });

  it('keeps what it knows of the outlets on apart from the outlets off', () => {
    const gauge = createGauge(1000, freshGauge(true));
    run(gauge, station, () => 100, 300);
    const on = gauge.belief();
    gauge.add({ at: 300 * MINUTE, outputW: 0, inputW: 0, stateOfChargePct: 25, acOutletsOn: false });
    expect(gauge.belief().mean[1]).toBeLessThan(on.mean[1]);
    gauge.add({ at: 301 * MINUTE, outputW: 100, inputW: 0, stateOfChargePct: 25, acOutletsOn: true });
    expect(gauge.belief().mean).toEqual(on.mean);
  });
});

describe('a map of its own', () => {
  it('comes from one whole discharge: what was left at each percent before the outlets stopped', () => {
    const log = createDischargeLog();
    for (let pct = 95.5; pct >= 5.5; pct--) log.tick(pct, pct > 20 ? 1 : 0.5);
    const map = log.ended(5)!;
    expect(energyAt(map, 5.5)).toBe(0);
    expect(energyAt(map, 15.5)).toBeCloseTo(5, 9);
    expect(energyAt(map, 95.5)).toBeCloseTo(15 * 0.5 + 75, 9);
  });
  it('does not come from a discharge that was interrupted or began low', () => {
    const log = createDischargeLog();
    for (let pct = 60.5; pct >= 5.5; pct--) log.tick(pct, 1);
    expect(log.ended(5)).toBeNull();
    log.restart();
    expect(log.ended(5)).toBeNull();
  });
});
