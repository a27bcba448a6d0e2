/**
 * Whether a station's AC outlets carry what is planned: the limit for as long as it lasts, and the one for a moment, at
 * which motors start. Worst case: everything else runs when one starts. Watts as told; what a converter derates when it is
 * hot, and volt-amperes that are more than watts, are not in it. Not a protection: the maker's manual decides.
 */
import { type PlannedLoad, runningW, totalRunningW, totalStartingW } from './planned-load.ts';

export interface OutletLimits {
  /** null where not told: then nothing is said of what it would tell. */
  continuousW: number | null;
  surgeW: number | null;
}

/**
 * `runs`: also while all else runs. `othersOff`: only with some of the others off. `tooBig`: not even alone. `unknown`: a
 * limit that would decide is not told.
 */
export type Verdict = 'runs' | 'othersOff' | 'tooBig' | 'unknown';

export interface LoadVerdict {
  verdict: Verdict;
  /** Which of the others have to be off, as places in the list: fewest, and rather those that may be off. */
  off: number[];
  /** One that must stay on is among them. */
  stopsNeeded: boolean;
  /** Which limit decides; null where none does. */
  by: 'continuous' | 'surge' | null;
  /** The others run together without this one: false where they are too much by themselves, and it is none of its doing. */
  othersFit: boolean;
}

export interface PlanVerdict {
  loads: LoadVerdict[];
  /** Of all but what is too big. */
  runningW: number;
  /** All starting in the same moment: as when the outlets come back after they were off. */
  startingW: number;
  /** null: the limit is not told. */
  runsTogether: boolean | null;
  startsTogether: boolean | null;
}

/** One of it starts, the rest of its kind and `others` run, W. */
const atStartW = (load: PlannedLoad, others: readonly PlannedLoad[]): number =>
  totalRunningW(others) + runningW(load) + load.powerW * (Math.max(1, load.startFactor) - 1);

const fits = (
  load: PlannedLoad,
  others: readonly PlannedLoad[],
  limits: OutletLimits,
): 'continuous' | 'surge' | null => {
  if (limits.continuousW !== null && runningW(load) + totalRunningW(others) > limits.continuousW) return 'continuous';
  if (limits.surgeW !== null && atStartW(load, others) > limits.surgeW) return 'surge';
  return null;
};

/** @param limits what is not told limits nothing; whether that was decisive is told as `unknown` */
export function planVerdict(loads: readonly PlannedLoad[], limits: OutletLimits): PlanVerdict {
  const alone = loads.map(load => fits(load, [], limits));
  // What is too big runs at no time, so it stands in nobody's way.
  const running = loads.filter((_, i) => alone[i] === null);
  const runningTotalW = totalRunningW(running);
  const startingTotalW = totalStartingW(running);
  return {
    loads: loads.map((_, i) => {
      const by = alone[i]!;
      if (by !== null) return { verdict: 'tooBig', off: [], stopsNeeded: false, by, othersFit: true };
      return loadVerdict(
        loads,
        i,
        loads.flatMap((other, k) => (k === i || alone[k] !== null || runningW(other) === 0 ? [] : k)),
        limits,
      );
    }),
    runningW: runningTotalW,
    startingW: startingTotalW,
    runsTogether: limits.continuousW === null ? null : runningTotalW <= limits.continuousW,
    startsTogether: limits.surgeW === null ? null : startingTotalW <= limits.surgeW,
  };
}

/** Of one that runs alone. */
function loadVerdict(
  loads: readonly PlannedLoad[],
  index: number,
  others: readonly number[],
  limits: OutletLimits,
): LoadVerdict {
  const load = loads[index]!;
  const all = fits(
    load,
    others.map(i => loads[i]!),
    limits,
  );
  if (all === null) {
    // A motor's start is decided by the limit for a moment, all else by the other one.
    const missing = limits.continuousW === null || (load.startFactor > 1 && limits.surgeW === null);
    return { verdict: missing ? 'unknown' : 'runs', off: [], stopsNeeded: false, by: null, othersFit: true };
  }
  const othersW = totalRunningW(others.map(i => loads[i]!));
  const othersFit = limits.continuousW === null || othersW <= limits.continuousW;
  const off = leastOff(loads, index, others, limits);
  return { verdict: 'othersOff', off, stopsNeeded: off.some(i => loads[i]!.mustStayOn), by: all, othersFit };
}

/** The fewest that have to be off, first among those that may be; the last of them as small as it can be. */
function leastOff(
  loads: readonly PlannedLoad[],
  index: number,
  others: readonly number[],
  limits: OutletLimits,
): number[] {
  const load = loads[index]!;
  const works = (off: readonly number[]) =>
    fits(
      load,
      others.filter(i => !off.includes(i)).map(i => loads[i]!),
      limits,
    ) === null;
  const byWatts = (list: readonly number[]) => [...list].sort((a, b) => runningW(loads[b]!) - runningW(loads[a]!));
  const off: number[] = [];
  // Both limits are limits on a sum: the largest first is the fewest. What must stay on comes only after all others.
  for (const i of [
    ...byWatts(others.filter(k => !loads[k]!.mustStayOn)),
    ...byWatts(others.filter(k => loads[k]!.mustStayOn)),
  ]) {
    if (works(off)) break;
    off.push(i);
  }
  const last = off.pop()!;
  const instead = byWatts(others.filter(i => !off.includes(i) && loads[i]!.mustStayOn === loads[last]!.mustStayOn));
  const found = [...off, instead.findLast(i => works([...off, i])) ?? last];
  // Where a needed one had to go, some of those that might go need not any more.
  return byWatts(found)
    .reduceRight((left, i) => (works(left.filter(k => k !== i)) ? left.filter(k => k !== i) : left), found)
    .sort((a, b) => a - b);
}
