/** Whether the gauge learns the figures themselves, and not ones drawn towards nought by the noise of ticks. */
import { describe, expect, it } from 'vitest';
import { chargeAt, energyAt, LFP_MAP } from '#energy/estimates/energy-map';
import { createGauge } from '#energy/estimates/gauge';
import { freshGauge } from '#energy/estimates/gauge-belief';
import { createShed, shedPlace } from '../../../simulators/honey-shed.ts';
import { seededRandom } from '../../support/kill-rounds.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 1440 * MINUTE_MS;

/** ln of (time foretold to 10 % / true time) at so many ticks, by a station of the given figures under a load that switches. */
function foretoldOff(random: () => number, ticks: number): number {
  const between = (low: number, high: number) => low + (high - low) * random();
  const [cost, ownW] = [between(1.05, 1.25), between(8, 18)];
  const [baseW, moreW, everyMin] = [between(20, 80), between(40, 160), between(20, 60)];
  const onMin = everyMin * between(0.2, 0.6);
  const gauge = createGauge(1000, freshGauge(true));
  let energyPct = energyAt(LFP_MAP, between(94, 95));
  let sumW = 0;
  for (let m = 0; ; m++) {
    const watts = m % everyMin < onMin ? baseW + moreW : baseW;
    sumW += watts;
    const pct = chargeAt(LFP_MAP, energyPct);
    gauge.add({ at: m * MINUTE_MS, outputW: watts, inputW: 0, stateOfChargePct: Math.round(pct) });
    if (gauge.ticks() === ticks) {
      const meanW = sumW / (m + 1);
      const { mean } = gauge.belief();
      const { mapPct, addedPct } = gauge.between(pct, 10);
      const foretold = (mapPct + addedPct) / (mean[0] * meanW + mean[1]);
      return Math.log((foretold * (cost * meanW + ownW)) / (energyPct - energyAt(LFP_MAP, 10)));
    }
    energyPct -= (cost * watts + ownW) / 600;
  }
}

describe('what the gauge learns', () => {
  it('foretells neither too long nor too short over many stations', () => {
    for (const ticks of [34, 60]) {
      const random = seededRandom(ticks);
      const off = Array.from({ length: 150 }, () => foretoldOff(random, ticks));
      const mean = off.reduce((sum, one) => sum + one, 0) / off.length;
      const spread = Math.sqrt(off.reduce((sum, one) => sum + one ** 2, 0) / off.length);
      expect(Math.abs(mean)).toBeLessThan(0.012);
      expect(spread).toBeLessThan(0.03);
    }
  });

  it('are the shed’s own figures after weeks of sun and clouds, whatever part of the battery they went through', () => {
    const startMs = Date.UTC(2026, 10, 7);
    const shed = createShed({ seed: 5, zone: 'UTC', startMs, startPct: 64, ...shedPlace('UTC', startMs) });
    const gauge = createGauge(1640, freshGauge(true));
    let before = shed.ledger.total();
    for (let at = startMs + MINUTE_MS; at <= startMs + 12 * DAY_MS; at += MINUTE_MS) {
      shed.step(at, 20_000);
      const now = shed.ledger.total();
      gauge.add({
        at,
        outputW: (now.outputWh - before.outputWh) * 60,
        inputW: (now.inputWh - before.inputWh) * 60,
        stateOfChargePct: shed.gauges().shownPct,
        acOutletsOn: shed.sample().states.acOutletsOn,
      });
      before = now;
    }
    const [cost, ownW, worth] = gauge.belief().mean;
    // Label Wh an outgoing one costs, from the plant's own figures: converter 1.052, pack of 1 % less than its label.
    expect(cost).toBeGreaterThan(1.03);
    expect(cost).toBeLessThan(1.12);
    // 12 W of converter and 1.6 W of electronics.
    expect(ownW).toBeGreaterThan(12.5);
    expect(ownW).toBeLessThan(14.7);
    // Tracker 0.965, charge counted at 0.98.
    expect(worth).toBeGreaterThan(0.91);
    expect(worth).toBeLessThan(1);
    const { mapPct, addedPct } = gauge.between(80, 20);
    expect(Math.abs(addedPct / mapPct)).toBeLessThan(0.06);
  });
});
