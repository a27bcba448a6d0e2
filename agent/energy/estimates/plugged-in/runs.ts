/**
 * When something ran: each step up in a load's history is paired with the step down that fits it best. What is still on
 * has no end; what was on before the history began has no beginning. Pairing after G. Hart, Proc. IEEE 80 (1992) 1870.
 */
import { levelsOf } from './levels.ts';

/** By index into the minutes: `from` included, `to` not. */
export interface Run {
  /** null: it was on when the history began. */
  from: number | null;
  /** null: it is on. */
  to: number | null;
  powerW: number;
}

/** A step down may differ so much from its step up (own judgement: motors draw less when warm). */
const FIT = 1.35;
/** While something runs the whole load is at least this share of it. */
const LEAST_SHARE = 0.7;

/** Runs in order of their beginning. @param watts mean watts a minute, in order */
export function runsOf(watts: Float64Array): Run[] {
  const levels = levelsOf(watts);
  const open: Open[] = [];
  const runs: Run[] = [];
  for (let i = 1; i < levels.length; i++) {
    const at = levels[i]!.from;
    const step = levels[i]!.startW - levels[i - 1]!.endW;
    if (step > 0) {
      open.push({ from: at, powerW: step });
      continue;
    }
    const ended = endedBy(open, -step);
    if (ended.length > 0) runs.push(...ended.map(({ from, powerW }) => ({ from, to: at, powerW })));
    else if (leastOf(watts, 0, at) >= LEAST_SHARE * -step) runs.push({ from: null, to: at, powerW: -step });
  }
  for (const { from, powerW } of open)
    if (leastOf(watts, from + 1, watts.length) >= LEAST_SHARE * powerW) runs.push({ from, to: null, powerW });
  return runs.sort((a, b) => (a.from ?? -1) - (b.from ?? -1));
}

interface Open {
  from: number;
  powerW: number;
}

/** What a step down ends, taken out of `open`: one run, two that end together, or a part of one begun with another. */
function endedBy(open: Open[], downW: number): Open[] {
  const one = bestFit(
    open.map(up => up.powerW),
    downW,
  );
  if (one >= 0) {
    const [up] = open.splice(one, 1);
    return [{ from: up!.from, powerW: (up!.powerW + downW) / 2 }];
  }
  const pairs = open.flatMap((_, a) => open.slice(0, a).map((__, b) => [b, a] as const));
  const two = bestFit(
    pairs.map(([b, a]) => open[a]!.powerW + open[b]!.powerW),
    downW,
  );
  if (two >= 0) {
    const [b, a] = pairs[two]!;
    const [later] = open.splice(a, 1);
    const [earlier] = open.splice(b, 1);
    return [earlier!, later!];
  }
  const larger = open.findLast(up => up.powerW > downW);
  if (larger === undefined) return [];
  larger.powerW -= downW;
  return [{ from: larger.from, powerW: downW }];
}

/** Index of the watts nearest to `downW`, the latest of equals; −1 where none fits. */
function bestFit(upsW: readonly number[], downW: number): number {
  let best = -1;
  let bestRatio = FIT;
  for (let i = upsW.length - 1; i >= 0; i--) {
    const ratio = Math.max(upsW[i]!, downW) / Math.min(upsW[i]!, downW);
    if (ratio < bestRatio) {
      best = i;
      bestRatio = ratio;
    }
  }
  return best;
}

function leastOf(watts: Float64Array, from: number, to: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = from; i < to; i++) least = Math.min(least, watts[i]!);
  return least;
}
