/** The shed's plant at fixed dates, for the tests of this room. */
import { createShed, shedFacts, shedLoads, shedPlace } from '../../simulators/honey-shed.ts';
import type { PortFacts } from '../../simulators/plant/electric/tracker.ts';
import { createPlant, type Plant } from '../../simulators/plant/station.ts';

export const HOUR_MS = 3_600_000;
export const DAY_MS = 24 * HOUR_MS;
/** A midnight in the southern summer, UTC. */
export const MIDNIGHT = Date.UTC(2026, 10, 24);

export const shedAt = (startMs: number, startPct = 60, seed = 5, mains = false): Plant =>
  createShed({ seed, zone: 'UTC', startMs, startPct, mains, ...shedPlace('UTC', startMs) });

/** The shed with another port. */
export function narrowShed(startMs: number, startPct: number, port: Partial<PortFacts>): Plant {
  const place = shedPlace('UTC', startMs);
  const facts = shedFacts(place);
  const solarPort = { ...facts.solarPort, ...port };
  const own = { ...facts, solarPort };
  return createPlant({ ...place, seed: 5, zone: 'UTC', startMs, startPct, facts: own, loads: shedLoads });
}

/** Samples every `everyMs` in (from, to]. */
export function samplesOf(plant: Plant, toMs: number, everyMs: number, gridMs?: number) {
  const samples: {
    ms: number;
    q: ReturnType<Plant['sample']>['quantities'];
    s: ReturnType<Plant['sample']>['states'];
  }[] = [];
  for (let ms = plant.nowMs() + everyMs; ms <= toMs; ms += everyMs) {
    plant.step(ms, gridMs);
    const { quantities, states } = plant.sample();
    samples.push({ ms, q: quantities, s: states });
  }
  return samples;
}
