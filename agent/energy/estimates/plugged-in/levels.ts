/**
 * A load's history cut where it steps: stretches of nearly one level. Found by holding each minute against a level that
 * follows slow drift; the minute in which something switched belongs to what follows. Thresholds: own judgement.
 */

/** One stretch, by index into the minutes: `from` included, `to` not. */
export interface Level {
  from: number;
  to: number;
  /** Level at its beginning and at its end, W: a compressor draws less the longer it runs. */
  startW: number;
  endW: number;
}

const LEAST_STEP_W = 4;
/** A step is so many standard deviations of the noise, and such a share of the level. */
const STEP_SDS = 3.5;
const STEP_SHARE = 0.06;
/** Minutes over which a level follows. */
const FOLLOW = 3;
/** Median of |difference of two normal draws| in standard deviations: 0.6745 √2. */
const MEDIAN_DIFFERENCE_SD = 0.954;

/** Standard deviation of what flickers from minute to minute, W; switching does not count, being rare. */
export function flickerW(watts: Float64Array): number {
  if (watts.length < 3) return 0;
  const steps = Float64Array.from({ length: watts.length - 1 }, (_, i) => Math.abs(watts[i + 1]! - watts[i]!)).sort();
  return steps[steps.length >> 1]! / MEDIAN_DIFFERENCE_SD;
}

/** @param watts mean watts a minute, in order */
export function levelsOf(watts: Float64Array): Level[] {
  if (watts.length === 0) return [];
  const noise = Math.max(LEAST_STEP_W, STEP_SDS * flickerW(watts));
  const apart = (a: number, b: number) => Math.abs(a - b) > Math.max(noise, STEP_SHARE * Math.max(a, b));
  return absorbed(raw(watts, apart), apart);
}

function raw(watts: Float64Array, apart: (a: number, b: number) => boolean): Level[] {
  const levels: Level[] = [];
  let now: Level = { from: 0, to: 1, startW: watts[0]!, endW: watts[0]! };
  for (let i = 1; i < watts.length; i++) {
    const w = watts[i]!;
    if (apart(w, now.endW)) {
      levels.push(now);
      now = { from: i, to: i + 1, startW: w, endW: w };
      continue;
    }
    const n = i - now.from + 1;
    now.endW += (w - now.endW) / Math.min(n, FOLLOW);
    if (n <= FOLLOW) now.startW = now.endW;
    now.to = i + 1;
  }
  levels.push(now);
  return levels;
}

/**
 * A single minute on the way from one level to another, or beyond it (a motor's start), is the switching itself. A
 * single minute between two equal levels is something that ran for a minute.
 */
function absorbed(levels: readonly Level[], apart: (a: number, b: number) => boolean): Level[] {
  const kept: Level[] = [];
  for (let i = 0; i < levels.length; i++) {
    const level = { ...levels[i]! };
    const before = kept.at(-1);
    const next = levels[i + 1];
    const moved = next === undefined || before === undefined ? 0 : next.startW - before.endW;
    const within = level.to - level.from === 1 && before !== undefined && next !== undefined;
    if (within && apart(next.startW, before.endW) && Math.sign(level.startW - before.endW) === Math.sign(moved)) {
      kept.push({ ...next, from: level.from });
      i++;
    } else kept.push(level);
  }
  return kept;
}
