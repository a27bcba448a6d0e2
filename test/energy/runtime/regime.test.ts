import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import { createPastMinutes } from '#energy/estimates/runtime/minutes';
import { createRegime, unfamiliarSince } from '#energy/estimates/runtime/regime';

const MINUTE = 60_000;
const START = Date.parse('2026-06-01T12:00:00Z');
const fridge = (m: number) => (((m % 50) + 50) % 50 < 15 ? 95 : 9);
const pastOf = (load: (minute: number) => number, minutes: number) => {
  const past = createPastMinutes();
  for (let m = 0; m < minutes; m++) past.add(m * MINUTE, load(m), 0);
  return past.read();
};

describe('a load unlike its past', () => {
  it('is dated to the minute it came', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 9 }), ago => {
        const past = pastOf(m => fridge(m) + (m >= 200 - ago ? 2000 : 0), 200);
        expect(unfamiliarSince(past)).toBe(200 - ago);
      }),
    );
  });
  it('is none where it was seen before, nor where too little was', () => {
    expect(unfamiliarSince(pastOf(fridge, 400))).toBeNull();
    expect(unfamiliarSince(pastOf(m => fridge(m) + (m >= 45 ? 2000 : 0), 50))).toBeNull();
  });
  it('is also one that is switched off', () => {
    expect(unfamiliarSince(pastOf(m => (m < 195 ? 300 : 8), 205))).toBe(195);
  });
  it('is over when it has gone, and the usual one after some hours', () => {
    const sinceAfter = (load: (minute: number) => number, minutes: number) => {
      const past = createPastMinutes();
      const regime = createRegime();
      for (let m = 0; m < minutes; m++) {
        past.add(m * MINUTE, load(m), 0);
        regime.see(past.read());
      }
      return regime.since();
    };
    const kettle = (m: number) => fridge(m) + (m >= 200 && m < 203 ? 2000 : 0);
    expect(sinceAfter(kettle, 203)).toBe(200);
    expect(sinceAfter(kettle, 210)).toBeNull();
    const heater = (m: number) => fridge(m) + (m >= 200 ? 500 : 0);
    expect(sinceAfter(heater, 206)).toBe(200);
    expect(sinceAfter(heater, 300)).toBe(200);
    expect(sinceAfter(heater, 600)).toBeNull();
  });
});

describe('how long it lasts when something large is plugged in', () => {
  const facts: RuntimeFacts = {
    ratedWh: 1640,
    floorPct: 10,
    ceilingPct: 100,
    lowCutoffPct: 0,
    panelsRatedW: null,
    solarMaxW: null,
    clearWm2: null,
  };
  /** Lives through a load, asked at minutes of it; drawn down as a station would. */
  const told = (load: (minute: number) => number, log: number, asked: readonly number[]) => {
    const engine = createRuntimeEngine(1640);
    let pct = 92;
    const at = (m: number) => START + m * MINUTE;
    return Array.from({ length: log + asked.at(-1)! + 1 }, (_, i) => i - log).flatMap(m => {
      engine.add({
        at: at(m),
        outputW: load(m),
        inputW: 0,
        solarW: 0,
        stateOfChargePct: m < 0 ? null : Math.round(pct),
      });
      const now = pct;
      if (m >= 0) pct -= (1.11 * load(m) + 11) / 60 / 16.4;
      if (!asked.includes(m)) return [];
      const bareMin = (now - 10.5) / ((1.11 * load(m) + 11) / 60 / 16.4);
      return [{ ...engine.project(at(m), facts).floor!, bareMin }];
    });
  };
  it('hardly changes for a kettle, neither while it boils nor after', () => {
    const kettle = (m: number) => fridge(m) + (m >= 120 && m < 123 ? 1800 : 0);
    const [before, boiling, after] = told(kettle, 1440, [119, 122, 135]);
    expect(boiling!.p50).toBeGreaterThan(0.75 * before!.p50);
    expect(after!.p50).toBeGreaterThan(0.75 * before!.p50);
  });
  it('comes down step by step to what a heater leaves, the promised time first, without a log too', () => {
    const heater = (m: number) => fridge(m) + (m >= 120 ? 500 : 0);
    for (const log of [0, 1440]) {
      const [before, soon, later, long] = told(heater, log, [119, 140, 165, 215]);
      expect(soon!.p10).toBeLessThan(0.7 * before!.p10);
      expect(soon!.p50).toBeGreaterThan(soon!.bareMin);
      expect(later!.p10).toBeLessThan(1.3 * later!.bareMin);
      expect(long!.p50).toBeLessThan(1.5 * long!.bareMin);
    }
  });
});
