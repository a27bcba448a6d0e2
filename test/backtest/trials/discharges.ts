/** Discharges of hidden stations as an owner would run them: charged full, unplugged, one steady load to the cut-off. */
import { createChance } from '#energy/estimates/chance';
import type { TrialAsked, UsableOptions } from '#energy/estimates/trials/asked';
import { judgeTrial } from '#energy/estimates/trials/judge';
import { PRESUMED } from '#energy/estimates/trials/kinds';
import { type Hidden, TOLD } from './hidden.ts';
import { type Lived, type Script, START_AT } from './lived.ts';

export const MINUTE = 60_000;
export const HOUR = 3_600_000;
const CHARGED_MS = 14 * MINUTE;
const LOAD_AT_MS = 18 * MINUTE;

export type Meter = 'none' | 'watts' | 'counts' | 'typed';

/** How much the load is, drawn by the seed of the run: a tenth to two thirds of what the converter may give. */
export function loadOf(hidden: Hidden, seed: number): number {
  const chance = createChance(seed);
  return hidden.ratedWh * (0.07 + 0.4 * chance.uniform());
}

export function dischargeScript(loadW: number, seed: number): Script {
  // Plugged in at some moment between two readings.
  const onAtMs = LOAD_AT_MS + 60_000 * createChance(seed).uniform();
  return {
    startPct: 99.8,
    longestMs: 60 * HOUR,
    wall: ms => ms < CHARGED_MS,
    loadW: ms => (ms >= onAtMs ? loadW : 0),
    over: ({ ms, on }) => ms > onAtMs && !on,
  };
}

export const common = (hidden: Hidden, meter: Meter) => ({
  ratedWh: hidden.ratedWh,
  tempMinC: PRESUMED.tempMinC,
  tempMaxC: PRESUMED.tempMaxC,
  ownWattsLimitPct: TOLD.ownWattsLimitPct,
  batteryLimitPct: TOLD.batteryLimitPct,
  meter:
    meter === 'none'
      ? null
      : {
          id: 'meter',
          limitPct: TOLD.meterLimitPct,
          stepW: hidden.meter.stepW,
          stepWh: hidden.meter.stepWh,
        },
});

/** Of what the meter told, what the owner has of it. */
export function meterAs({ meter }: Lived, as: Meter): Lived['meter'] | null {
  if (as === 'none') return null;
  const none = new Float64Array(0);
  if (as === 'watts') return { ...meter, energyWh: none };
  if (as === 'counts') return { ...meter, powerW: none };
  // Read by eye before the load is on, every two hours or so, and after the end.
  const hourly = [...meter.at.keys()].filter(
    k => k === 0 || k === meter.at.length - 1 || meter.at[k]! - (meter.at[k - 1] ?? 0) > HOUR,
  );
  const every = Math.max(1, Math.floor((2 * HOUR) / Math.max(1, meter.at[1]! - meter.at[0]!)));
  const kept = [...meter.at.keys()].filter(k => hourly.includes(k) || k % every === 0);
  return {
    at: Float64Array.from(kept, k => meter.at[k]!),
    powerW: none,
    energyWh: Float64Array.from(kept, k => meter.energyWh[k]!),
  };
}

export function usableAsked(
  hidden: Hidden,
  lived: Lived,
  meter: Meter,
  options: Partial<UsableOptions> = {},
): TrialAsked<'usable'> {
  return {
    kind: 'usable',
    options: { ...common(hidden, meter), floorPct: null, fullPct: 100, cutoffPct: hidden.lowCutoffPct, ...options },
    station: `s${hidden.seed}`,
    startedAt: START_AT,
    endedAt: null,
    nowAt: lived.samples.at.at(-1)! + 1,
    gapLimitMs: Math.max(10_000, 3 * hidden.own.everyMs),
    samples: lived.samples,
    meter: meterAs(lived, meter),
    steps: [],
  };
}

export const judgeUsableOf = (hidden: Hidden, lived: Lived, meter: Meter) =>
  judgeTrial(usableAsked(hidden, lived, meter));
