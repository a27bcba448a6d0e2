import { describe, expect, it } from 'vitest';
import { shedFacts } from '../../simulators/honey-shed.ts';
import { energyBelowV, openCircuitCellV, shareAtCellV } from '../../simulators/plant/battery/cell.ts';
import { createPack } from '../../simulators/plant/battery/pack.ts';
import { taperShare } from '../../simulators/plant/battery/taper.ts';
import { ENERGY_LEFT, LAST_OF_CHARGE } from '../reference/lithium-pack.ts';
import { fc } from './property.ts';

const { pack: facts } = shedFacts({ latitudeDeg: -34.6, longitudeDeg: 0 });

describe('a cell at rest', () => {
  it('leaves the measured energy at every charge, within half a percent', () => {
    for (const [pct, left] of ENERGY_LEFT)
      expect(Math.abs((100 * energyBelowV(pct / 100)) / energyBelowV(1) - left)).toBeLessThan(0.5);
  });

  it('has a voltage that never falls with charge: flat in the middle, steep at the ends', () => {
    const slope = (share: number) => openCircuitCellV(share + 0.01) - openCircuitCellV(share);
    for (let share = 0; share < 0.99; share += 0.01) expect(slope(share)).toBeGreaterThanOrEqual(0);
    expect(slope(0.01)).toBeGreaterThan(10 * slope(0.5));
    expect(slope(0.98)).toBeGreaterThan(10 * slope(0.5));
  });

  it('tells its charge by its voltage on the steep lower end', () => {
    for (const share of [0.01, 0.04, 0.08, 0.12]) expect(shareAtCellV(openCircuitCellV(share))).toBeCloseTo(share, 9);
  });

  it('holds the energy that its voltage adds up to', () => {
    let sum = 0;
    for (let k = 0; k < 10_000; k++) sum += openCircuitCellV((k + 0.5) / 10_000) / 10_000;
    expect(energyBelowV(1)).toBeCloseTo(sum, 4);
  });
});

describe('the pack', () => {
  it('loses what does not stay, to a thousandth of what is moved, whatever the order of charging and discharging', () => {
    const watts = fc.array(fc.double({ min: -1400, max: 760, noNaN: true }), { minLength: 1, maxLength: 200 });
    fc.assert(
      fc.property(watts, fc.double({ min: 0.02, max: 0.98, noNaN: true }), (powers, start) => {
        const pack = createPack(facts, start, 20);
        const before = pack.energyWh();
        let [put, lost, moved] = [0, 0, 0];
        for (const wanted of powers) {
          const w = Math.max(-pack.giveW(20), Math.min(wanted, pack.acceptW(20)));
          const heat = pack.step(w, 20, 20);
          expect(heat).toBeGreaterThanOrEqual(0);
          put += (w * 20) / 3600;
          lost += heat;
          moved += (Math.abs(w) * 20) / 3600;
        }
        expect(Math.abs(pack.energyWh() - before - (put - lost))).toBeLessThan(0.001 * moved + 1e-9);
      }),
    );
  });

  it('gives back 92-98 % of what goes in, slowly or fast', () => {
    for (const w of [80, 300, 600]) {
      const pack = createPack(facts, 0.3, 20);
      const before = pack.share();
      let [inWh, outWh] = [0, 0];
      for (; pack.share() < 0.85; inWh += (w * 10) / 3600) pack.step(w, 10, 20);
      for (; pack.share() > before; outWh += (w * 10) / 3600) pack.step(-w, 10, 20);
      expect(outWh / inWh).toBeGreaterThan(0.92);
      expect(outWh / inWh).toBeLessThan(0.985);
    }
  });

  it('takes its full charge current up to 90 % and less and less above', () => {
    expect(taperShare(0.5)).toBe(1);
    expect(taperShare(0.9)).toBe(1);
    const shares = [0.92, 0.95, 0.98, 0.995, 1].map(taperShare);
    expect([...shares].sort((a, b) => b - a)).toEqual(shares);
    expect(shares.at(-1)).toBeCloseTo(0.081, 9);
  });

  it('takes for its last 10, 5, 2 and 1 % the measured 2.1 to 5.2 times as long as at the full current, within 10 %', () => {
    const pack = createPack(facts, 0.8, 20);
    const reached: [number, number][] = [];
    for (let s = 0; pack.share() < 1; s++) {
      reached.push([pack.share(), s]);
      pack.step(pack.acceptW(1), 1, 20);
    }
    const secondsAt = (share: number) => reached.find(([at]) => at >= share)![1];
    const full = reached.length;
    const perPct = (secondsAt(0.9) - secondsAt(0.8)) / 10;
    for (const [last, times] of LAST_OF_CHARGE) {
      const ours = (full - secondsAt(1 - last / 100)) / (last * perPct);
      expect(Math.abs(ours / times - 1)).toBeLessThan(0.1);
    }
  });

  it('never holds more than its capacity nor less than nothing', () => {
    const pack = createPack(facts, 0.999, 20);
    for (let k = 0; k < 20_000; k++) pack.step(pack.acceptW(10), 10, 20);
    expect(pack.share()).toBe(1);
    expect(pack.acceptW(10)).toBe(0);
    for (let k = 0; k < 1000; k++) pack.step(-pack.giveW(60), 60, 20);
    expect(pack.energyWh()).toBeCloseTo(0, 6);
  });

  it('refuses charge below freezing and takes it again above', () => {
    const pack = createPack(facts, 0.5, -3);
    expect(pack.tooColdToCharge()).toBe(true);
    expect(pack.acceptW(1)).toBe(0);
    for (let k = 0; k < 10; k++) pack.step(-50, 3600, 8);
    expect(pack.tooColdToCharge()).toBe(false);
    expect(pack.acceptW(1)).toBeGreaterThan(500);
  });

  it('sags under load and rises under charge', () => {
    const pack = createPack(facts, 0.5, 20);
    const rest = pack.voltageV();
    pack.step(-800, 1, 20);
    expect(rest - pack.voltageV()).toBeGreaterThan(0.8);
    pack.step(600, 1, 20);
    expect(pack.voltageV() - rest).toBeGreaterThan(0.7);
  });
});
