/** A made station of 1000 Wh that lived through a load: what an engine knows of it, and what is true. */
import { createRuntimeEngine, type RuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';

const MINUTE_MS = 60_000;
export const LIVED_FROM = Date.parse('2026-06-01T12:00:00Z');
export const OUT_COST = 1.15;
export const OWN_W = 12;
export const IN_WORTH = 0.95;

export const LIVED_FACTS: RuntimeFacts = {
  ratedWh: 1000,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: 0,
  panelsRatedW: null,
  solarMaxW: null,
  clearWm2: null,
};

export interface Lived {
  engine: RuntimeEngine;
  at: number;
  pct: number;
}

/**
 * @param loadW by minute; negative minutes are a log without a state of charge
 * @param minutes lived through with one
 */
export function livedStation(
  loadW: (minute: number) => number,
  { minutes = 240, log = 1440, fromPct = 95 }: { minutes?: number; log?: number; fromPct?: number } = {},
): Lived {
  const engine = createRuntimeEngine(1000);
  let pct = fromPct;
  for (let m = -log; m <= minutes; m++) {
    const stateOfChargePct = m < 0 ? null : Math.round(pct);
    engine.add({ at: LIVED_FROM + m * MINUTE_MS, outputW: loadW(m), inputW: 0, solarW: 0, stateOfChargePct });
    if (m >= 0) pct -= (OUT_COST * loadW(m) + OWN_W) / 600;
  }
  return { engine, at: LIVED_FROM + minutes * MINUTE_MS, pct };
}
