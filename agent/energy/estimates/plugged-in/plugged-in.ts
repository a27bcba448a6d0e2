/**
 * What is plugged in, told from the steps of the load alone: runs of about the same watts are one load. What it draws,
 * for how much of the time and how often was seen here; nothing is assumed about a kind of appliance.
 */
import { indexAt, type Past } from '../runtime/minutes.ts';
import { type Run, runsOf } from './runs.ts';

/**
 * `steady`: on since it was plugged in. `cycling`: switches itself. `rare`: cycles hours apart. `sometimes`: ran, but
 * neither. `rest`: all that is on without a step.
 */
export type LoadKind = 'steady' | 'cycling' | 'rare' | 'sometimes' | 'rest';

export interface PluggedIn {
  kind: LoadKind;
  /** While it runs, W. */
  powerW: number;
  /** Share of the time it runs, 0-1: since it was first seen, over a day at most. */
  duty: number;
  /** powerW × duty. */
  meanW: number;
  /** Minutes from one start to the next; null unless it cycles. */
  cycleMin: number | null;
  /** How often it was seen to start. */
  starts: number;
  /** Minutes a run lasts; null where none ended. */
  runMin: number | null;
  on: boolean;
  /** Minutes since the epoch: first and last minute in which it was seen drawing. */
  firstMinute: number;
  lastMinute: number;
  /** What of each recorded minute was this load, W, one value a minute of the past from `drawnFrom` on. */
  drawnW: Float64Array;
  drawnFrom: number;
}

const WINDOW_MIN = 2 * 1440;
const DAY_MIN = 1440;
const SHORT_MIN = 10;
const MOST_SHORT = 0.5;
const LEAST_STRETCHES = 4;
const HOUR_MIN = 60;
/** Runs whose watts lie closer than this belong to one load. */
const ALIKE = 1.2;
const WIDEST = 1.5;
const LEAST_W = 2;
const LEAST_STARTS = 3;
/** Median deviation of a cycle, as a share of it, above which nothing switches itself so. */
const UNEVEN = 0.6;
const UNEVEN_RARE = 0.2;
const LEAST_RARE_STARTS = 4;
/** From here on a cycle is rare (defrosting, a pump): a past of two hours does not hold one. */
const RARE_MIN = 180;
const AROUND_THE_CLOCK_MIN = 20 * 60;
const REST_MIN = 60;

/** Loads, the largest mean first. @param nowMinute minutes since the epoch */
export function pluggedIn(past: Past, nowMinute: number): PluggedIn[] {
  const dayAgo = indexAt(past, nowMinute - DAY_MIN);
  const from = fineFrom(past, indexAt(past, nowMinute - WINDOW_MIN), dayAgo);
  const watts = past.outputW.slice(from, past.count);
  if (watts.length === 0) return [];
  const minutes = past.minutes.slice(from, past.count);
  const runs = runsOf(watts);
  // What draws most is taken off first, so that a minute is never given away twice.
  const left = watts.slice();
  const loads = alike(runs)
    .reverse()
    .map(group => loadOf(group, minutes, left, from));
  const rest = restOf(left, minutes, from);
  return (rest === null ? loads : [...loads, rest]).sort((a, b) => b.meanW - a.meanW);
}

/** Where minutes begin that were recorded as such: before a start of the agent, days are known by longer means only. */
function fineFrom(past: Past, from: number, to: number): number {
  for (let at = to; at > from; at -= HOUR_MIN) if (isCoarse(past, Math.max(from, at - HOUR_MIN), at)) return at;
  return from;
}

/**
 * Minutes filled from longer means stand still for long and then step: what switched within cannot be seen there. Where
 * minutes were recorded, switching leaves short stretches. What hardly steps tells nothing either way.
 */
function isCoarse({ outputW }: Past, from: number, to: number): boolean {
  let stretches = 0;
  let short = 0;
  let since = from;
  for (let i = from + 1; i <= to; i++) {
    if (i < to && outputW[i] === outputW[since]) continue;
    stretches++;
    if (i - since < SHORT_MIN) short++;
    since = i;
  }
  return stretches >= LEAST_STRETCHES && short < MOST_SHORT * stretches;
}

/** Groups of runs of like watts, smallest first. */
function alike(runs: readonly Run[]): Run[][] {
  const groups: Run[][] = [];
  for (const run of [...runs].sort((a, b) => a.powerW - b.powerW)) {
    const group = groups.at(-1);
    const near = group !== undefined && run.powerW <= ALIKE * group.at(-1)!.powerW;
    if (near && run.powerW <= WIDEST * group[0]!.powerW) group.push(run);
    else groups.push([run]);
  }
  return groups;
}

function loadOf(unordered: readonly Run[], minutes: Int32Array, left: Float64Array, drawnFrom: number): PluggedIn {
  const group = [...unordered].sort((a, b) => (a.from ?? -1) - (b.from ?? -1));
  const n = minutes.length;
  const powerW = median(group.map(run => run.powerW));
  const drawnW = new Float64Array(n);
  for (const run of group)
    for (let i = run.from ?? 0; i < (run.to ?? n); i++) {
      const mine = Math.min(left[i]!, run.powerW - drawnW[i]!);
      if (mine <= 0) continue;
      drawnW[i]! += mine;
      left[i]! -= mine;
    }
  const first = group[0]!.from ?? 0;
  const on = group.some(run => run.to === null);
  const last = on ? n - 1 : Math.max(...group.map(run => run.to!)) - 1;
  const starts = group.flatMap(run => (run.from === null ? [] : [minutes[run.from]!]));
  const cycleMin = cycleOf(starts);
  const kind = kindOf(starts, cycleMin, on);
  const since = kind === 'steady' ? (group.find(run => run.to === null)!.from ?? 0) : first;
  const duty = kind === 'steady' ? 1 : dutyOf(group, minutes, first);
  const ended = group.filter(run => run.from !== null && run.to !== null);
  return {
    kind,
    powerW,
    duty,
    meanW: powerW * duty,
    cycleMin: kind === 'cycling' || kind === 'rare' ? cycleMin : null,
    starts: starts.length,
    runMin: ended.length === 0 ? null : median(ended.map(run => run.to! - run.from!)),
    on,
    firstMinute: minutes[since]!,
    lastMinute: minutes[last]!,
    drawnW,
    drawnFrom,
  };
}

function kindOf(starts: readonly number[], cycleMin: number | null, on: boolean): LoadKind {
  if (cycleMin !== null && starts.length >= LEAST_STARTS && cycleMin < RARE_MIN) return 'cycling';
  // Few and far between, each gap counts: a kettle is no cycle.
  if (cycleMin !== null && starts.length >= LEAST_RARE_STARTS && cycleMin >= RARE_MIN) {
    // And what switches itself does so at night too: a kettle of one day is no cycle however even its meals.
    const aroundTheClock = starts.at(-1)! - starts[0]! >= AROUND_THE_CLOCK_MIN;
    const even = mean(gapsOf(starts).map(gap => Math.abs(gap - cycleMin))) <= UNEVEN_RARE * cycleMin;
    if (aroundTheClock && even) return 'rare';
  }
  // Plugged in and left on; what ran before at the same watts was the same thing or another, and does not matter.
  return on ? 'steady' : 'sometimes';
}

/** Median time between starts; null where they are too few or too uneven to be a cycle. */
function cycleOf(starts: readonly number[]): number | null {
  const gaps = gapsOf(starts);
  if (gaps.length === 0) return null;
  const middle = median(gaps);
  return median(gaps.map(gap => Math.abs(gap - middle))) <= UNEVEN * middle ? middle : null;
}

const gapsOf = (starts: readonly number[]): number[] => starts.slice(1).map((at, i) => at - starts[i]!);

/** Share of the recorded minutes since the first run, the last day of them at most. */
function dutyOf(group: readonly Run[], minutes: Int32Array, first: number): number {
  const n = minutes.length;
  const from = Math.max(first, indexOfMinute(minutes, minutes[n - 1]! - DAY_MIN + 1));
  const ran = group.reduce((sum, run) => sum + Math.max(0, (run.to ?? n) - Math.max(from, run.from ?? 0)), 0);
  return Math.min(1, ran / Math.max(1, n - from));
}

const indexOfMinute = (minutes: Int32Array, minute: number): number => {
  const i = minutes.findIndex(m => m >= minute);
  return i < 0 ? minutes.length : i;
};

/** What is on without ever having stepped: the middle of what the others leave in the last hour. */
function restOf(left: Float64Array, minutes: Int32Array, drawnFrom: number): PluggedIn | null {
  const n = left.length;
  const powerW = median([...left.slice(Math.max(0, n - REST_MIN))]);
  if (powerW < LEAST_W) return null;
  return {
    kind: 'rest',
    powerW,
    duty: 1,
    meanW: powerW,
    cycleMin: null,
    starts: 0,
    runMin: null,
    on: true,
    firstMinute: minutes[0]!,
    lastMinute: minutes[n - 1]!,
    drawnW: left.map(w => Math.min(w, powerW)),
    drawnFrom,
  };
}

const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const mid = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[mid]! : (sorted[mid - 1]! + sorted[mid]!) / 2;
}
