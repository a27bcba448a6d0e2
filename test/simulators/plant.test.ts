import { describe, expect, it } from 'vitest';
import { DAY_MS, HOUR_MS, MIDNIGHT, narrowShed, samplesOf, shedAt } from './shed.ts';

describe('the shed’s plant', () => {
  it('shows the same day twice for the same seed and another day for another seed', () => {
    const day = (seed: number) => samplesOf(shedAt(MIDNIGHT, 60, seed), MIDNIGHT + DAY_MS, 60_000, 15_000);
    expect(day(5)).toEqual(day(5));
    expect(day(5)).not.toEqual(day(6));
  });

  it('keeps its energy: what the pack gained is what came in, less what went out and what was lost', () => {
    const plant = shedAt(MIDNIGHT, 60);
    const before = plant.storedWh();
    plant.step(MIDNIGHT + 3 * DAY_MS, 5000);
    const t = plant.ledger.total();
    expect(t.solarWh).toBeGreaterThan(1000);
    expect(plant.storedWh() - before).toBeCloseTo(t.inputWh - t.outputWh - t.lossWh, 3);
    expect(t.outputWh).toBeCloseTo(t.acOutputWh + t.dcOutputWh, 6);
  });

  it('loses at least its own idle draw while nothing is switched on', () => {
    const plant = shedAt(MIDNIGHT + HOUR_MS, 60);
    plant.step(MIDNIGHT + 2 * HOUR_MS);
    expect(plant.ledger.total().lossWh).toBeGreaterThan(13);
  });

  it('has no sun at night', () => {
    for (const { q } of samplesOf(shedAt(MIDNIGHT), MIDNIGHT + 4 * HOUR_MS, 60_000)) {
      expect(q.solarPowerW).toBe(0);
      expect(q.inputPowerW).toBe(0);
      expect(q.solarVoltageV).toBe(0);
    }
  });

  it('never takes more from the sun than its port allows, reaches that limit and says so', () => {
    const samples = samplesOf(narrowShed(MIDNIGHT - 6 * DAY_MS, 40, { maxW: 180 }), MIDNIGHT, 60_000, 15_000);
    expect(samples.filter(({ q }) => q.solarPowerW! > 180)).toEqual([]);
    const limited = samples.filter(({ s }) => s.inputLimitedBy === 'port');
    expect(limited.length).toBeGreaterThan(30);
    for (const { q } of limited) expect(q.solarPowerW).toBeGreaterThan(176);
  });

  it('keeps to its port’s amps as well', () => {
    const samples = samplesOf(narrowShed(MIDNIGHT - 3 * DAY_MS, 40, { maxA: 3 }), MIDNIGHT, 60_000, 15_000);
    expect(Math.max(...samples.map(({ q }) => q.solarCurrentA!))).toBeLessThan(3.05);
    expect(samples.filter(({ s }) => s.inputLimitedBy === 'port').length).toBeGreaterThan(30);
  });

  it('shows a state of charge in whole percent that moves by single steps', () => {
    const shown = samplesOf(shedAt(MIDNIGHT), MIDNIGHT + DAY_MS, 60_000).map(({ q }) => q.stateOfChargePct!);
    for (const pct of shown) expect(Number.isInteger(pct)).toBe(true);
    for (let k = 1; k < shown.length; k++) expect(Math.abs(shown[k]! - shown[k - 1]!)).toBeLessThanOrEqual(2);
    expect(new Set(shown).size).toBeGreaterThan(15);
  });

  it('gives inputs and outputs that add up and are never negative', () => {
    const samples = samplesOf(shedAt(MIDNIGHT), MIDNIGHT + DAY_MS, 60_000, 15_000);
    const apart = (a: number, b: number) => Math.abs(a - b) > 0.11;
    expect(samples.filter(({ q }) => apart(q.outputPowerW!, q.acOutputPowerW! + q.dcOutputPowerW!))).toEqual([]);
    expect(samples.filter(({ q }) => apart(q.inputPowerW!, q.solarPowerW! + q.chargerPowerW!))).toEqual([]);
    const powers = ['inputPowerW', 'outputPowerW', 'solarPowerW', 'chargerPowerW'] as const;
    expect(samples.filter(({ q }) => powers.some(name => !(q[name]! >= 0)))).toEqual([]);
  });

  it('switches its outlets off at its cut-off, and on again once the sun has brought enough', () => {
    const samples = samplesOf(shedAt(MIDNIGHT - 4 * HOUR_MS, 9), MIDNIGHT + DAY_MS, 60_000, 15_000);
    const off = samples.filter(({ s }) => !s.dcOutletsOn);
    expect(off.length).toBeGreaterThan(10);
    for (const { q } of off) expect(q.outputPowerW).toBe(0);
    expect(off[0]!.q.stateOfChargePct).toBe(4);
    const again = samples.find(({ ms, s }) => ms > off.at(-1)!.ms && s.dcOutletsOn)!;
    expect(again.q.stateOfChargePct).toBe(14);
  });

  it('falls asleep when the pack is wholly empty and owes nothing', () => {
    const plant = shedAt(MIDNIGHT, 0.2);
    const before = plant.storedWh();
    plant.step(MIDNIGHT + 3 * HOUR_MS);
    const total = plant.ledger.total();
    expect(before).toBeGreaterThan(1.5);
    expect(plant.storedWh()).toBeCloseTo(0, 6);
    expect(total.outputWh).toBe(0);
    expect(total.lossWh).toBeCloseTo(before, 2);
  });

  it('says in its own words how long it lasts, and is too hopeful since it forgets its idle draw', () => {
    const plant = shedAt(MIDNIGHT, 60);
    plant.step(MIDNIGHT + HOUR_MS);
    const { quantities: q } = plant.sample();
    expect(q.statedMinutesToEmpty).toBeGreaterThan(((q.stateOfChargePct! / 100) * 1640 * 60) / (q.outputPowerW! + 13));
    expect(q.statedMinutesToFull).toBeNull();
  });

  it('on wall power feeds the outlets through, fills the pack and names the source', () => {
    const plant = shedAt(MIDNIGHT, 50, 5, true);
    plant.step(MIDNIGHT + 3 * HOUR_MS);
    const { quantities: q, states: s } = plant.sample();
    expect(s).toMatchObject({ onMains: true, inputSource: 'wall', acOutletsOn: true });
    expect(q.stateOfChargePct).toBeGreaterThan(95);
    expect(plant.ledger.total().solarWh).toBe(0);
    plant.setMains(false);
    plant.step(MIDNIGHT + 4 * HOUR_MS);
    expect(plant.sample().states.onMains).toBe(false);
    expect(plant.sample().quantities.chargerPowerW).toBe(0);
  });

  it('does what a hand does with plugs: only what is left in draws, nothing comes from panels that are out', () => {
    const noon = MIDNIGHT + 12 * HOUR_MS;
    const plant = shedAt(noon, 40);
    plant.byHand.household = false;
    plant.byHand.steadyW.ac = 300;
    plant.step(noon + HOUR_MS / 2);
    expect(plant.sample().quantities).toMatchObject({ acOutputPowerW: 300, dcOutputPowerW: 0 });
    expect(plant.sample().quantities.solarPowerW).toBeGreaterThan(20);
    plant.byHand.panels = false;
    plant.byHand.outlets = 'off';
    plant.step(noon + HOUR_MS);
    expect(plant.sample()).toMatchObject({
      quantities: { acOutputPowerW: 0, solarPowerW: 0 },
      states: { acOutletsOn: false },
    });
    plant.byHand.outlets = 'habit';
    plant.step(noon + HOUR_MS + 60_000);
    expect(plant.sample().quantities.acOutputPowerW).toBe(300);
  });

  it('forgets its past: two plants started apart meet once both have been full', () => {
    const plants = [shedAt(MIDNIGHT - 16 * DAY_MS, 40), shedAt(MIDNIGHT - 13 * DAY_MS, 70)];
    for (const plant of plants) {
      const shown = samplesOf(plant, MIDNIGHT, 600_000, 15_000).map(({ q }) => q.stateOfChargePct);
      expect(shown).toContain(100);
    }
    const [a, b] = plants as [(typeof plants)[0], (typeof plants)[0]];
    expect(a.sample().states).toEqual(b.sample().states);
    expect(Math.abs(a.storedWh() - b.storedWh())).toBeLessThan(5);
  });
});

describe('the fridge', () => {
  it('cycles by day and night, more when the air is warm', () => {
    const plant = shedAt(MIDNIGHT, 90);
    const running: boolean[] = [];
    for (let ms = MIDNIGHT + 60_000; ms <= MIDNIGHT + DAY_MS; ms += 60_000) {
      plant.step(ms, 15_000);
      running.push(plant.drawing().fridge! > 0);
    }
    const starts = running.filter((on, k) => on && !running[k - 1]).length;
    expect(starts).toBeGreaterThan(10);
    expect(starts).toBeLessThan(40);
    const duty = (from: number, to: number) =>
      running.slice(from * 60, to * 60).filter(Boolean).length / (to - from) / 60;
    expect(duty(0, 24)).toBeGreaterThan(0.15);
    expect(duty(0, 24)).toBeLessThan(0.45);
    expect(duty(11, 18)).toBeGreaterThan(duty(0, 6));
  });
});

describe('the beekeeper', () => {
  it('boils a kettle a few times a day and has a lamp in the evening only', () => {
    const plant = shedAt(MIDNIGHT, 90);
    let boils = 0;
    let boiling = false;
    const lampHours = new Set<number>();
    for (let ms = MIDNIGHT + 15_000; ms <= MIDNIGHT + DAY_MS; ms += 15_000) {
      plant.step(ms, 15_000);
      const { kettle, lamp, router } = plant.drawing();
      if (kettle! > 0 && !boiling) boils++;
      boiling = kettle! > 0;
      if (lamp! > 0) lampHours.add(new Date(ms).getUTCHours());
      expect(router).toBeGreaterThan(4);
    }
    expect(boils).toBeGreaterThanOrEqual(2);
    expect(boils).toBeLessThanOrEqual(4);
    for (const hour of lampHours) expect(hour).toBeGreaterThanOrEqual(16);
    expect(lampHours.size).toBeGreaterThan(0);
  });

  it('switches the AC outlets off for the night when little is left at bedtime', () => {
    const plant = shedAt(MIDNIGHT - 3 * HOUR_MS, 35);
    plant.step(MIDNIGHT + 2 * HOUR_MS);
    expect(plant.sample().states).toMatchObject({ acOutletsOn: false, dcOutletsOn: true });
    plant.step(MIDNIGHT + 8 * HOUR_MS);
    expect(plant.sample().states.acOutletsOn).toBe(true);
  });
});
