/** Over any run, what came in is what went out, what was lost and what is stored. */
import { describe, expect, it } from 'vitest';
import { shedFacts, shedLoads } from '../../simulators/honey-shed.ts';
import { createPlant } from '../../simulators/plant/station.ts';
import { fc } from './property.ts';
import { DAY_MS, HOUR_MS } from './shed.ts';

const run = fc.record({
  seed: fc.integer({ min: 0, max: 1e6 }),
  startMs: fc.integer({ min: Date.UTC(2025, 0, 1), max: Date.UTC(2026, 11, 31) }),
  hours: fc.integer({ min: 2, max: 30 }),
  latitudeDeg: fc.integer({ min: -65, max: 65 }),
  startPct: fc.integer({ min: 0, max: 100 }),
  gridMs: fc.constantFrom(1000, 5000, 20_000, 60_000),
  mains: fc.array(fc.boolean(), { minLength: 1, maxLength: 4 }),
  loads: fc.subarray([0, 1, 2, 3, 4, 5]),
  port: fc.record({ maxW: fc.integer({ min: 20, max: 400 }), maxA: fc.integer({ min: 1, max: 9 }) }),
});

describe('energy', () => {
  it('balances to 0.1 % over any seed, season, place, loads, steps and comings and goings of the wall', () => {
    fc.assert(
      fc.property(run, r => {
        const place = { latitudeDeg: r.latitudeDeg, longitudeDeg: 10 };
        const facts = shedFacts(place);
        const plant = createPlant({
          ...place,
          seed: r.seed,
          zone: 'UTC',
          startMs: r.startMs,
          startPct: r.startPct,
          facts: { ...facts, solarPort: { ...facts.solarPort, ...r.port } },
          loads: seed => shedLoads(seed).filter((_, k) => r.loads.includes(k)),
          mains: r.mains[0]!,
        });
        const before = plant.storedWh();
        for (const [k, on] of r.mains.entries()) {
          plant.setMains(on);
          plant.step(r.startMs + ((k + 1) * r.hours * HOUR_MS) / r.mains.length, r.gridMs);
        }
        const t = plant.ledger.total();
        const stored = plant.storedWh() - before;
        const through = t.inputWh + t.outputWh + t.lossWh + Math.abs(stored);
        expect(Math.abs(t.inputWh - t.outputWh - t.lossWh - stored)).toBeLessThan(0.001 * through + 1e-6);
        expect(t.lossWh).toBeGreaterThanOrEqual(0);
        expect(t.solarRefusedWh).toBeGreaterThanOrEqual(-1e-6);
        for (const wh of Object.values(t)) expect(wh).toBeGreaterThanOrEqual(-1e-9);
      }),
      { numRuns: 40 },
    );
  });

  it('balances to 0.001 % over the shed’s own season', () => {
    const startMs = Date.UTC(2026, 8, 1);
    const place = { latitudeDeg: -34.6, longitudeDeg: 0 };
    const plant = createPlant({
      ...place,
      seed: 5,
      zone: 'UTC',
      startMs,
      startPct: 60,
      facts: shedFacts(place),
      loads: shedLoads,
    });
    const before = plant.storedWh();
    plant.step(startMs + 60 * DAY_MS, 60_000);
    const t = plant.ledger.total();
    expect(Math.abs(t.inputWh - t.outputWh - t.lossWh - (plant.storedWh() - before))).toBeLessThan(1e-5 * t.inputWh);
  });
});
