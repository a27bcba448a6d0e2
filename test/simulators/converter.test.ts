import { describe, expect, it } from 'vitest';
import { shedFacts } from '../../simulators/honey-shed.ts';
import { createPack } from '../../simulators/plant/battery/pack.ts';
import { converterDrawW, converterGivesW } from '../../simulators/plant/converter.ts';
import { INVERTER_EFFICIENCIES } from '../reference/lithium-pack.ts';

const facts = shedFacts({ latitudeDeg: -34.6, longitudeDeg: 0 });

/** AC energy for each Wh on the label, from full to empty at a steady load. */
function perRatedWh(acW: number): number {
  const pack = createPack(facts.pack, 1, 20);
  const busW = converterDrawW(facts.converter, acW) + facts.housekeepingW;
  let seconds = 0;
  for (; pack.giveW(20) > busW; seconds += 20) pack.step(-busW, 20, 20);
  return (acW * seconds) / 3600 / facts.pack.ratedWh;
}

describe('the converter', () => {
  it('has the efficiency of its class from a twentieth of its rating to all of it, within 0.05', () => {
    const { maxW } = facts.converter;
    for (const [load, efficiency] of INVERTER_EFFICIENCIES) {
      const ours = (load * maxW) / converterDrawW(facts.converter, load * maxW);
      expect(Math.abs(ours - efficiency)).toBeLessThan(0.05);
    }
  });

  it('brings 83-88 % of the label to the outlets at high load', () => {
    for (const w of [500, 700, 900]) {
      expect(perRatedWh(w)).toBeGreaterThan(0.83);
      expect(perRatedWh(w)).toBeLessThan(0.88);
    }
  });

  it('brings less than half of it to a load of ten watts', () => {
    expect(perRatedWh(10)).toBeLessThan(0.5);
  });

  it('draws 10 to 20 W with nothing plugged in', () => {
    const idleW = converterDrawW(facts.converter, 0) + facts.housekeepingW;
    expect(idleW).toBeGreaterThanOrEqual(10);
    expect(idleW).toBeLessThanOrEqual(20);
  });

  it('starts a motor for a moment beyond its rating, and gives no more than its rating for longer', () => {
    expect(converterGivesW(facts.converter, 2000, 1)).toBe(2000);
    expect(converterGivesW(facts.converter, 2000, 20)).toBe(facts.converter.maxW);
    expect(converterGivesW(facts.converter, 9000, 1)).toBe(facts.converter.surgeW);
  });
});
