import { describe, expect, it } from 'vitest';
import { createLedger, LEDGER_COLUMNS } from '../../simulators/plant/ledger.ts';
import { DAY_MS, HOUR_MS, MIDNIGHT, samplesOf, shedAt } from './shed.ts';

describe('the plant’s ledger', () => {
  it('agrees within 0.3 % with its own one-second samples joined by straight lines', () => {
    const plant = shedAt(MIDNIGHT - DAY_MS, 50);
    plant.step(MIDNIGHT + 7 * HOUR_MS, 15_000);
    const from = plant.nowMs();
    const samples = samplesOf(plant, from + 4 * HOUR_MS, 1000);
    const joined = (name: 'solarPowerW' | 'outputPowerW') =>
      samples.slice(1).reduce((wh, { q }, k) => wh + (q[name]! + samples[k]!.q[name]!) / 2 / 3600, 0);
    const truth = plant.ledger.between(samples[0]!.ms, samples.at(-1)!.ms);
    expect(truth.coveredMs).toBe(samples.at(-1)!.ms - samples[0]!.ms);
    expect(truth.solarWh).toBeGreaterThan(200);
    expect(Math.abs(joined('solarPowerW') / truth.solarWh - 1)).toBeLessThan(0.003);
    expect(Math.abs(joined('outputPowerW') / truth.outputWh - 1)).toBeLessThan(0.003);
  });

  it('agrees as well over a minute at uneven instants', () => {
    const plant = shedAt(MIDNIGHT + 10 * HOUR_MS, 50);
    const from = MIDNIGHT + 11 * HOUR_MS + 137;
    plant.step(from);
    let [wh, last] = [0, plant.sample().quantities.solarPowerW!];
    for (let k = 1; k <= 60; k++) {
      plant.step(from + k * 1003);
      const watts = plant.sample().quantities.solarPowerW!;
      wh += ((watts + last) / 2) * (1.003 / 3600);
      last = watts;
    }
    const truth = plant.ledger.between(from, from + 60 * 1003).solarWh;
    expect(Math.abs(wh / truth - 1)).toBeLessThan(0.005);
  });

  it('gives spans that add up to the whole, wherever they are cut', () => {
    const plant = shedAt(MIDNIGHT, 50);
    plant.step(MIDNIGHT + 6 * HOUR_MS, 15_000);
    plant.step(MIDNIGHT + 8 * HOUR_MS);
    const cut = MIDNIGHT + 7 * HOUR_MS + 12_345;
    const { between } = plant.ledger;
    const whole = between(MIDNIGHT, plant.nowMs());
    expect(between(MIDNIGHT, cut).solarWh + between(cut, plant.nowMs()).solarWh).toBeCloseTo(whole.solarWh, 9);
    expect(whole.solarWh).toBeCloseTo(plant.ledger.total().solarWh, 9);
  });

  it('covers only what the plant has lived through', () => {
    const plant = shedAt(MIDNIGHT, 50);
    plant.step(MIDNIGHT + HOUR_MS);
    const { between } = plant.ledger;
    expect(between(MIDNIGHT - DAY_MS, MIDNIGHT + DAY_MS).coveredMs).toBe(HOUR_MS);
    expect(between(MIDNIGHT + 2 * HOUR_MS, MIDNIGHT + DAY_MS).coveredMs).toBe(0);
  });

  it('goes over from past minutes to present seconds and back without losing any energy', () => {
    const ledger = createLedger(0);
    const powers = new Float64Array(LEDGER_COLUMNS.length).fill(360);
    let ms = 0;
    const add = (count: number, stepMs: number) => {
      for (let k = 0; k < count; k++) {
        ms += stepMs;
        ledger.add(ms, stepMs / 1000, powers);
      }
    };
    add(10, 15_000);
    add(1000, 1000);
    add(7, 15_000);
    add(5, 1000);
    for (const from of [0, 40_000, 150_000, 151_500, 900_000, 1_150_000, 1_255_500])
      expect(ledger.between(from, ms).solarWh).toBeCloseTo((ms - from) / 10_000, 6);
  });
});
