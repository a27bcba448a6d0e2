/** Own draw, converter and charge of hidden stations, each run as an owner would, with what was true. */
import { createChance } from '#energy/estimates/chance';
import type { ChargeOptions, Delivered, TrialAsked, TrialKind } from '#energy/estimates/trials/asked';
import { common, HOUR, type Meter, MINUTE, meterAs } from './discharges.ts';
import { type Hidden, trueBusW } from './hidden.ts';
import { type Lived, type Script, START_AT } from './lived.ts';

export const askedOf = <K extends TrialKind>(
  hidden: Hidden,
  lived: Lived,
  kind: K,
  options: TrialAsked<K>['options'],
  meter: Meter = 'none',
): TrialAsked<K> => ({
  kind,
  options,
  station: `s${hidden.seed}`,
  startedAt: START_AT,
  endedAt: null,
  nowAt: lived.samples.at.at(-1)! + 1,
  gapLimitMs: Math.max(10_000, 3 * hidden.own.everyMs),
  samples: lived.samples,
  meter: meterAs(lived, meter),
  steps: [],
});

/** Left alone with its outlets on, at some charge. */
export function ownDrawScript(hidden: Hidden, seed: number): Script {
  const chance = createChance(seed);
  return {
    startPct: 45 + 53 * chance.uniform(),
    longestMs: (0.12 * hidden.ratedWh * HOUR) / trueBusW(hidden, 0),
    loadW: () => 0,
  };
}

export const ownDrawOptions = (hidden: Hidden) => ({
  ...common(hidden, 'none'),
  narrowPct: 10,
  narrowW: 1,
  longestHours: 24,
  perPctWh: null,
});

/** Loads one after another, W, each for a while. */
export const stepLoads = (hidden: Hidden, seed: number): readonly number[] => {
  const chance = createChance(seed);
  const most = hidden.converter.maxW;
  return [0.05, 0.14, 0.35, 0.75].map(share => Math.max(30, most * share * (0.8 + 0.4 * chance.uniform())));
};

export function converterScript(hidden: Hidden, loads: readonly number[]): Script {
  // By percents a small load must stand for hours.
  const lasts = loads.map(w =>
    hidden.own.tellsBattery ? 11 * MINUTE : Math.max(6 * MINUTE, (0.075 * hidden.ratedWh * HOUR) / trueBusW(hidden, w)),
  );
  const ends = lasts.map((_, k) => lasts.slice(0, k + 1).reduce((sum, ms) => sum + ms, 2 * MINUTE));
  return {
    startPct: 88,
    longestMs: ends.at(-1)! + 2 * MINUTE,
    loadW: ms => (ms < 2 * MINUTE ? 0 : (loads[ends.findIndex(end => ms < end)] ?? 0)),
  };
}

export const converterOptions = (hidden: Hidden, meter: Meter, loads = 4) => ({
  ...common(hidden, meter),
  loads,
  perPctWh: null,
});

/** True efficiency at a load, %. */
export const trueEfficiencyPct = (hidden: Hidden, w: number): number => (100 * w) / trueBusW(hidden, w);

/** When it is plugged in, since the start. */
export const pluggedInMs = (seed: number): number => 2 * MINUTE + 60_000 * createChance(seed).uniform();

export function chargeScript(startPct: number, seed: number): Script {
  const onAtMs = pluggedInMs(seed);
  let pulledAt = Number.POSITIVE_INFINITY;
  return {
    startPct,
    longestMs: 30 * HOUR,
    loadW: () => 0,
    acOn: () => false,
    wall: ms => ms >= onAtMs && ms < pulledAt,
    over: ({ ms, full }) => {
      if (!full || ms < onAtMs) return false;
      pulledAt = Math.min(pulledAt, ms + 8 * MINUTE);
      return true;
    },
  };
}

export const chargeOptions = (hidden: Hidden, discharge: Delivered | null, meter: Meter): ChargeOptions => ({
  ...common(hidden, meter),
  source: 'wall',
  fromPct: 12,
  toPct: 100,
  discharge,
});
