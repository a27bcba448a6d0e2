/**
 * Likely courses of the sun's power: the clear sky, times what these panels make of it at their best, times a clearness.
 * The clearness goes on as blocks of the last hours, and after a while as the same hours of an earlier recorded day;
 * without any, as a day of unknown weather. Never more than the ports take.
 */
import type { Chance } from '../chance.ts';
import { indexAt, type Past } from './minutes.ts';
import { nthSmallest } from './nth-smallest.ts';
import { KNOT_MIN } from './sky-knots.ts';

export interface SunPathsOptions {
  nowMinute: number;
  stepMin: number;
  steps: number;
  /** Clear-sky irradiance, W/m², on the panels' plane or level, at a minute since the epoch. */
  clearWm2: (minute: number) => number;
  /** The same at whole ten minutes, where they are remembered. */
  knotWm2?: (minute: number) => number;
  /** Rated power of the panels, W; null where unknown: then only what was seen counts. */
  panelsRatedW: number | null;
  /** Most the ports take together, W; null where unknown. */
  limitW: number | null;
  /** Share of a clear sky set by hand at minutes ahead; null where it is left to chance. */
  clearness?: ((minutesAhead: number) => readonly [low: number, high: number] | null) | undefined;
}

/** Fills `into` with mean watts a step. */
export type DrawSun = (chance: Chance, into: Float64Array) => void;

/** Below this the ratio of two small numbers says nothing, W/m². */
const LEAST_CLEAR_WM2 = 60;
/** A sky lasts so long on average, min: own fit to measured irradiance. */
const SKY_LASTS_MIN = 150;
const RECENT_MIN = 240;
const BLOCK_MIN = 20;
const DAY_MIN = 1440;
/** Watts a rated watt gives at 1000 W/m² in the field: own judgement, heat and dust taken off. */
const FIELD_SHARE = 0.78;
/** Share of the recorded minutes that lie below what the panels make of a clear sky. */
const ENVELOPE_SHARE = 0.95;
const ENOUGH_MIN = 45;

/** @returns null where no sun is expected: none was seen and no panels are known */
export function createSunPaths(past: Past, o: SunPathsOptions): DrawSun | null {
  const clear = clearSteps(o);
  const seen = clearness(past, o);
  const limit = o.limitW ?? Number.POSITIVE_INFINITY;
  const { scale } = seen;
  const lit = litStretches(clear);
  if (scale === 0 || lit.length === 0) return null;
  const best = new Float64Array(o.steps);
  const minuteOfDay = new Int32Array(o.steps);
  for (let s = 0; s < o.steps; s++) {
    best[s] = scale * clear[s]!;
    minuteOfDay[s] = (o.nowMinute + s * o.stepMin) % DAY_MIN;
  }
  /** The sun under an earlier day's sky; many courses take the same one. */
  const courses = new Map<Float32Array, Float64Array>();
  const courseOf = (day: Float32Array): Float64Array => {
    const known = courses.get(day);
    if (known !== undefined) return known;
    const made = new Float64Array(o.steps);
    for (const { from, until } of lit)
      for (let s = from; s < until; s++) made[s] = Math.min(limit, best[s]! * day[minuteOfDay[s]!]!);
    courses.set(day, made);
    return made;
  };
  return (chance, into) => {
    const turn = seen.recent.length === 0 ? 0 : -Math.log(1 - chance.uniform()) * SKY_LASTS_MIN;
    // Without a record the weather of a day is anything between dull and clear.
    const unknown = 0.15 + 0.85 * chance.uniform();
    const day = seen.days.length === 0 ? null : seen.days[Math.floor(chance.uniform() * seen.days.length)]!;
    const within = o.clearness === undefined ? 0 : chance.uniform();
    let block = 0;
    let left = 0;
    const turnStep = o.clearness === undefined ? Math.min(o.steps, Math.ceil(turn / o.stepMin)) : o.steps;
    into.fill(0, 0, day === null ? o.steps : turnStep);
    for (const { from, until } of lit) {
      for (let s = from; s < Math.min(until, turnStep); s++) {
        const ahead = s * o.stepMin;
        const byHand = o.clearness?.(ahead) ?? null;
        let k: number;
        if (byHand !== null) k = byHand[0] + within * (byHand[1] - byHand[0]);
        else if (ahead < turn) {
          if (left <= 0) {
            block = Math.floor(chance.uniform() * seen.recent.length);
            left = BLOCK_MIN;
          }
          k = seen.recent[block % seen.recent.length]!;
          block += o.stepMin;
          left -= o.stepMin;
        } else k = day === null ? unknown : day[minuteOfDay[s]!]!;
        into[s] = Math.min(limit, best[s]! * k);
      }
      // From where the sky has turned on nothing else is asked.
      if (day === null)
        for (let s = Math.max(from, turnStep); s < until; s++) into[s] = Math.min(limit, best[s]! * unknown);
    }
    if (day !== null && turnStep < o.steps) into.set(courseOf(day).subarray(turnStep), turnStep);
  };
}

/** Steps with some light: the nights between are long and dark for every course. */
function litStretches(clear: Float64Array): { from: number; until: number }[] {
  const lit: { from: number; until: number }[] = [];
  for (let s = 0; s < clear.length; s++) {
    if (clear[s] === 0) continue;
    const last = lit.at(-1);
    if (last?.until === s) last.until = s + 1;
    else lit.push({ from: s, until: s + 1 });
  }
  return lit;
}

/** Clear-sky irradiance in the middle of each step; taken every ten minutes at most and straight between. */
function clearSteps(o: SunPathsOptions): Float64Array {
  const every = Math.max(1, Math.floor(KNOT_MIN / o.stepMin));
  const knots = Float64Array.from({ length: Math.ceil(o.steps / every) + 1 }, (_, i) =>
    Math.max(0, o.clearWm2(o.nowMinute + (i * every + 0.5) * o.stepMin)),
  );
  const clear = new Float64Array(o.steps);
  for (let s = 0; s < o.steps; s++) {
    const i = Math.floor(s / every);
    const share = (s % every) / every;
    clear[s] = knots[i]! * (1 - share) + knots[i + 1]! * share;
  }
  return clear;
}

interface Clearness {
  /** Watts of the panels for each W/m² of clear sky; 0 where unknown. */
  scale: number;
  /** Clearness of the last daylight minutes, oldest first. */
  recent: number[];
  /** Clearness by minute of the (UTC) day, one array an earlier day. */
  days: Float32Array[];
}

function clearness(past: Past, o: SunPathsOptions): Clearness {
  const { minutes, solarW, count } = past;
  const first = indexAt(past, o.nowMinute - 8 * DAY_MIN);
  const seen: Seen = { minutes: new Float64Array(count - first), ratios: new Float64Array(count - first), count: 0 };
  const clearAt = betweenKnots(o.knotWm2 ?? o.clearWm2);
  // Every third minute tells enough of eight days.
  for (let i = first; i < count; i++) {
    const minute = minutes[i]!;
    if (minute % 3 !== 0 && minute < o.nowMinute - DAY_MIN) continue;
    const clear = clearAt(minute + 0.5);
    if (clear < LEAST_CLEAR_WM2) continue;
    seen.minutes[seen.count] = minute;
    seen.ratios[seen.count++] = solarW[i]! / clear;
  }
  const best = nthSmallest(seen.ratios.slice(0, seen.count), Math.floor(ENVELOPE_SHARE * (seen.count - 1))) ?? 0;
  const rated = o.panelsRatedW === null ? 0 : (o.panelsRatedW * FIELD_SHARE) / 1000;
  // A short or wholly dull past does not show what the panels can do.
  const scale = seen.count >= ENOUGH_MIN && best > 0.25 * rated ? best : rated;
  if (scale === 0) return { scale, recent: [], days: [] };
  for (let i = 0; i < seen.count; i++) seen.ratios[i] = Math.min(1.3, seen.ratios[i]! / scale);
  const recent = firstFrom(seen, o.nowMinute - RECENT_MIN + 1);
  return { scale, recent: [...seen.ratios.subarray(recent, seen.count)], days: earlierDays(seen, o.nowMinute) };
}

/** The clear sky taken every ten minutes and straight between, for minutes that rise. */
function betweenKnots(clearWm2: (minute: number) => number): (minute: number) => number {
  let knot = Number.NaN;
  let here = 0;
  let next = 0;
  return minute => {
    const at = Math.floor(minute / KNOT_MIN) * KNOT_MIN;
    if (at !== knot) {
      here = at === knot + KNOT_MIN ? next : Math.max(0, clearWm2(at));
      next = Math.max(0, clearWm2(at + KNOT_MIN));
      knot = at;
    }
    return here + ((next - here) * (minute - at)) / KNOT_MIN;
  };
}

/** Minutes under some clear sky, rising, and the share of it that came: of the light first, then of the panels' best. */
interface Seen {
  minutes: Float64Array;
  ratios: Float64Array;
  count: number;
}

/** Index of the first minute at or after one. */
function firstFrom({ minutes, count }: Seen, minute: number): number {
  let i = count;
  while (i > 0 && minutes[i - 1]! >= minute) i--;
  return i;
}

function earlierDays(seen: Seen, nowMinute: number): Float32Array[] {
  const days: Float32Array[] = [];
  for (let back = 1; back <= 8; back++) {
    const from = firstFrom(seen, nowMinute - back * DAY_MIN);
    const until = firstFrom(seen, nowMinute - (back - 1) * DAY_MIN);
    if (until - from < ENOUGH_MIN) continue;
    let sum = 0;
    for (let i = from; i < until; i++) sum += seen.ratios[i]!;
    const day = new Float32Array(DAY_MIN).fill(sum / (until - from));
    for (let i = from; i < until; i++)
      for (let m = -1; m <= 1; m++) day[(seen.minutes[i]! + m + DAY_MIN) % DAY_MIN] = seen.ratios[i]!;
    days.push(day);
  }
  return days;
}
