import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import { createPastMinutes } from '#energy/estimates/runtime/minutes';
import { createUsualLoad } from '#energy/estimates/runtime/usual-load';

const MINUTE = 60_000;
const HOUR_MIN = 60;
const pastOf = (load: (minute: number) => number, minutes: number) => {
  const past = createPastMinutes();
  for (let m = 0; m < minutes; m++) past.add(m * MINUTE, load(m), 0);
  return past.read();
};
const changing = (m: number) => (m % 40 < 15 ? 300 : 60);

describe('the load as the clock has it', () => {
  it('is most in the evening and least in the small hours', () => {
    const level = createUsualLoad(pastOf(changing, 600), 0, 0);
    expect(level(20 * HOUR_MIN)).toBeGreaterThan(level(12 * HOUR_MIN));
    expect(level(12 * HOUR_MIN)).toBeGreaterThan(level(3 * HOUR_MIN));
  });
  it('is not believed of a load that never changes', () => {
    const level = createUsualLoad(
      pastOf(() => 150, 600),
      0,
      0,
    );
    expect(level(20 * HOUR_MIN)).toBe(level(3 * HOUR_MIN));
  });
  it('is not believed of a fridge, which cycles within the hour and keeps its level', () => {
    const level = createUsualLoad(
      pastOf(m => (m % HOUR_MIN < 20 ? 95 : 15), 600),
      0,
      0,
    );
    expect(level(20 * HOUR_MIN)).toBe(level(3 * HOUR_MIN));
  });
  it('comes again each day, by the clock where the station stands', () => {
    const past = pastOf(changing, 600);
    fc.assert(
      fc.property(fc.integer({ min: -1_000_000, max: 1_000_000 }), fc.integer({ min: -720, max: 840 }), (m, offset) => {
        const there = createUsualLoad(past, 0, offset);
        expect(there(m)).toBeCloseTo(there(m + 1440), 9);
        expect(there(m)).toBeCloseTo(createUsualLoad(past, 0, 0)(m + offset), 9);
      }),
    );
  });
});

describe('how long it lasts into the night', () => {
  const facts: RuntimeFacts = {
    ratedWh: 1000,
    floorPct: 10,
    ceilingPct: 100,
    lowCutoffPct: 0,
    panelsRatedW: null,
    solarMaxW: null,
    clearWm2: null,
  };
  /** An evening from 19:00 to 22:00 UTC. */
  const evening = (load: (minute: number) => number, offsetMs: RuntimeFacts['offsetMs']) => {
    const start = Date.parse('2026-06-01T19:00:00Z');
    const engine = createRuntimeEngine(1000);
    let pct = 70;
    for (let m = 0; m <= 180; m++) {
      engine.add({ at: start + m * MINUTE, outputW: load(m), inputW: 0, solarW: 0, stateOfChargePct: Math.round(pct) });
      pct -= (1.1 * load(m) + 11) / 600;
    }
    return engine.project(start + 180 * MINUTE, { ...facts, offsetMs }).floor!.p50;
  };
  const household = (m: number) => (m % 40 < 15 ? 110 : 30);
  it('is longer than the evening alone says, and longer than where the day begins', () => {
    const unknown = evening(household, undefined);
    const here = evening(household, () => 0);
    const morning = evening(household, () => 8 * 3_600_000);
    expect(here).toBeGreaterThan(1.05 * unknown);
    expect(morning).toBeLessThan(here);
  });
  it('is the same for a load that never changes', () => {
    const steady = () => 60;
    expect(evening(steady, () => 0)).toBe(evening(steady, undefined));
  });
});
