/**
 * The shed's plant lived through by the minute, with the truth of where each day's energy went: beside the shed stand the
 * same panels without anything around them, under the same sky and under the same air without its clouds. So what the
 * clouds took, what stands in the way, the port and the full battery are told apart as they were. Energies Wh.
 */
import { createShed, shedFacts } from '../../simulators/honey-shed.ts';
import type { SpotId } from '../../simulators/honey-shed-spots.ts';
import { createArray } from '../../simulators/plant/electric/array.ts';
import { createTracker } from '../../simulators/plant/electric/tracker.ts';
import { createShade } from '../../simulators/plant/light/shade.ts';
import { createSky, type SkyAt } from '../../simulators/plant/light/sky.ts';
import type { Place } from '../../simulators/plant/sun.ts';

const MINUTE_MS = 60_000;
const GRID_MS = 20_000;

export interface PlantMinute {
  /** The minute's beginning. */
  readonly atMs: number;
  readonly solarW: number;
  readonly outputW: number;
  readonly pct: number;
  /** Watts that each cause took. */
  readonly cloudW: number;
  readonly shadeW: number;
  readonly fullW: number;
  readonly portW: number;
  /** What the panels would have given under the cloudless air, nothing in the way. */
  readonly clearW: number;
}

export interface PlantOptions extends Place {
  readonly seed: number;
  readonly zone: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly spot: SpotId;
  readonly startPct?: number;
}

export function* plantMinutes(o: PlantOptions): Generator<PlantMinute> {
  const shed = createShed({ ...o, startMs: o.fromMs, startPct: o.startPct ?? 60 });
  const facts = shedFacts(o, o.spot);
  const bare = (sky: SkyAt) => {
    const array = createArray(facts.array, createShade({ skyline: [], near: [] }, o.seed));
    const tracker = createTracker({ ...facts.solarPort, maxW: 5000, maxA: 100 });
    return (ms: number) => {
      const now = sky(ms);
      if (now.sun.up < -0.02) return 0;
      array.step(now, ms, 60);
      return tracker.step(array.strings, 5000, ms, 60).powerW;
    };
  };
  const clouded = bare(createSky(o.seed, o));
  const cloudless = bare(createSky(o.seed, o, true));
  let [solarWh, refusedWh, outputWh] = [0, 0, 0];
  for (let atMs = o.fromMs; atMs < o.toMs; atMs += MINUTE_MS) {
    shed.step(atMs + MINUTE_MS, GRID_MS);
    const now = ['solarWh', 'solarRefusedWh', 'outputWh'] as const;
    const [solar, refused, output] = now.map(column => shed.ledger.totalOf(column)) as [number, number, number];
    const [solarW, refusedW] = [(solar - solarWh) * 60, (refused - refusedWh) * 60];
    const outputW = (output - outputWh) * 60;
    [solarWh, refusedWh, outputWh] = [solar, refused, output];
    const [clearW, skyW] = [cloudless(atMs + MINUTE_MS / 2), clouded(atMs + MINUTE_MS / 2)];
    const isPort = shed.sample().states.inputLimitedBy === 'port';
    yield {
      atMs,
      solarW,
      outputW,
      pct: shed.gauges().shownPct,
      clearW,
      cloudW: clearW - skyW,
      shadeW: skyW - solarW - refusedW,
      fullW: isPort ? 0 : refusedW,
      portW: isPort ? refusedW : 0,
    };
  }
}
