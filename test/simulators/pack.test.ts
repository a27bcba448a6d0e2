import { describe, expect, it } from 'vitest';
import { shedFacts } from '../../simulators/honey-shed.ts';
import { converterDrawW } from '../../simulators/plant/converter.ts';
import { cellOpenCircuitV, createPack, taperShare } from '../../simulators/plant/pack.ts';
import { fc } from './property.ts';

const facts = shedFacts({ latitudeDeg: -34.6, longitudeDeg: 0 });

describe('the pack', () => {
  it('stores what goes in times its efficiency and gives what comes out divided by it, whatever the order', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -900, max: 700, noNaN: true }), { maxLength: 200 }), powers => {
        const pack = createPack(facts.pack, 0.5, 20);
        let expected = pack.energyWh();
        let lost = 0;
        for (const w of powers) {
          const allowed = Math.min(w, pack.acceptW(1));
          lost += pack.step(allowed, 1, 20);
          expected += allowed > 0 ? (allowed * 0.982) / 3600 : allowed / 0.982 / 3600;
        }
        expect(pack.energyWh()).toBeCloseTo(expected, 6);
        expect(lost).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it('takes its full charge power up to 90 % and less and less above', () => {
    expect(taperShare(0.5)).toBe(1);
    expect(taperShare(0.9)).toBe(1);
    const shares = [0.92, 0.95, 0.98, 0.995, 1].map(taperShare);
    expect([...shares].sort((a, b) => b - a)).toEqual(shares);
    expect(shares.at(-1)).toBeCloseTo(0.03, 9);
  });

  it('needs far longer for its last tenth than for the one before', () => {
    const pack = createPack(facts.pack, 0.8, 20);
    const secondsTo = (share: number) => {
      let seconds = 0;
      for (; pack.share() < share; seconds++) pack.step(pack.acceptW(1), 1, 20);
      return seconds;
    };
    const before = secondsTo(0.9);
    expect(secondsTo(0.995)).toBeGreaterThan(1.7 * before);
  });

  it('never holds more than its capacity nor less than nothing', () => {
    const pack = createPack(facts.pack, 0.999, 20);
    for (let k = 0; k < 100_000; k++) pack.step(pack.acceptW(10), 10, 20);
    expect(pack.share()).toBeLessThanOrEqual(1);
    for (let k = 0; k < 1000; k++) pack.step(-900, 60, 20);
    expect(pack.energyWh()).toBe(0);
  });

  it('refuses charge below freezing', () => {
    const pack = createPack(facts.pack, 0.5, -3);
    expect(pack.tooColdToCharge()).toBe(true);
    expect(pack.acceptW(1)).toBe(0);
  });

  it('has a voltage that rises with charge: flat in the middle, steep at the ends', () => {
    const slope = (share: number) => cellOpenCircuitV(share + 0.01) - cellOpenCircuitV(share);
    for (let share = 0; share < 0.99; share += 0.01) expect(slope(share)).toBeGreaterThan(0);
    expect(slope(0.01)).toBeGreaterThan(10 * slope(0.5));
    expect(slope(0.98)).toBeGreaterThan(10 * slope(0.5));
  });
});

describe('the converter', () => {
  /** AC energy for each Wh on the label, at a steady load. */
  const perRatedWh = (acW: number) =>
    (acW / (converterDrawW(facts.converter, acW) + facts.housekeepingW)) *
    facts.pack.usableShare *
    facts.pack.dischargeEfficiency;

  it('brings 85-88 % of the label to the outlets at high load', () => {
    for (const w of [500, 700, 900]) expect(perRatedWh(w)).toBeGreaterThan(0.85);
    for (const w of [500, 700, 900]) expect(perRatedWh(w)).toBeLessThan(0.88);
  });

  it('brings less than half of it to a load of ten watts', () => {
    expect(perRatedWh(10)).toBeLessThan(0.5);
  });

  it('draws 10 to 20 W with nothing plugged in', () => {
    const idleW = converterDrawW(facts.converter, 0) + facts.housekeepingW;
    expect(idleW).toBeGreaterThanOrEqual(10);
    expect(idleW).toBeLessThanOrEqual(20);
  });
});
