/**
 * What a plateau is: when one has begun, where a small sharp step parts two of them, whether power went from one to the
 * next by a cloud's slope or by hands, and whether it came back to the same after a dip. Thresholds are own judgement,
 * tuned on the simulated plant and on a measured broken day.
 */
import type { Second } from './seconds.ts';

/** A second with what the cells had still to lose. */
export interface Seen extends Second {
  readonly coolShares: readonly number[];
  readonly meanCool: number;
}

/**
 * How power came to a plateau: by hands, as far as can be told; `straight` there by a great step without a dip, which hands
 * or a cloud may have done; or by a cloud, a slope of seconds without a dip.
 */
export type Came = 'byHands' | 'straight' | 'byCloud';

/** A settled stretch. */
export interface Stretch {
  /** When the move before it began. */
  readonly movedAtMs: number;
  /** What led to it. */
  readonly came: Came;
  /** When power last rose from it for some seconds and came back, as where the sun looks through clouds; null: never. */
  gleamAtMs: number | null;
  readonly seen: Seen[];
}

const SETTLED_OVER_MS = 6_000;
const SETTLED_SECONDS = 4;
const SLOW_MS = 4_000;
const SETTLED_SLOW_SECONDS = 3;
/** The level last seen is that of so many seconds. */
const LEVEL_MS = 10_000;

export const mean = (of: readonly Seen[]): number => of.reduce((sum, s) => sum + s.powerW, 0) / of.length;
const spread = (of: readonly Seen[]): number => Math.max(...of.map(s => s.powerW)) - Math.min(...of.map(s => s.powerW));
export const lastOf = (of: readonly Seen[], ms: number): Seen[] => {
  const from = (of.at(-1)?.atMs ?? 0) - ms;
  let k = of.length;
  while (k > 0 && of[k - 1]!.atMs > from) k--;
  return of.slice(k);
};

/** The end of a plateau, which tells its level. */
export function levelOf(of: readonly Seen[]): readonly Seen[] {
  const last = lastOf(of, LEVEL_MS);
  return last.length < 3 ? of.slice(-3) : last;
}

/** Standard deviation: scatter that the tracker itself makes by hunting. */
export function scatterW(of: readonly Seen[]): number {
  const m = mean(of);
  return of.length < 3 ? 0 : Math.sqrt(of.reduce((sum, s) => sum + (s.powerW - m) ** 2, 0) / (of.length - 1));
}

/** Whether readings come so seldom that each stands for itself. */
const isSlow = (recent: readonly Seen[]): boolean =>
  recent.length >= 2 && recent.at(-1)!.atMs - recent.at(-2)!.atMs > SLOW_MS;

/** The plateau that has begun with the last seconds; null where none has. */
export function settledWith(recent: readonly Seen[], stepW: number): Seen[] | null {
  const slow = isSlow(recent);
  const window = slow ? recent.slice(-SETTLED_SLOW_SECONDS) : lastOf(recent, SETTLED_OVER_MS);
  if (window.length < (slow ? SETTLED_SLOW_SECONDS : SETTLED_SECONDS)) return null;
  if (!slow && window.at(-1)!.atMs - window[0]!.atMs < SETTLED_OVER_MS - 2_000) return null;
  const m = mean(window);
  if (slow) return spread(window) <= Math.max(2 * stepW, 0.02 * m) ? window : null;
  const [first, ...rest] = window;
  const half = window.length >> 1;
  const [early, late] = [window.slice(0, half), window.slice(-half)];
  const scatter = Math.hypot(scatterW(early), scatterW(late));
  // The end of the way up is no plateau yet, even where the rest of it is level.
  if (Math.abs(first!.powerW - mean(rest)) > Math.max(stepW, 0.004 * m, 2.5 * scatterW(rest))) return null;
  const tilt = Math.abs(mean(late) - mean(early));
  return spread(window) <= Math.max(3 * stepW, 0.08 * m) && tilt <= Math.max(stepW, 0.01 * m, scatter) ? window : null;
}

const SIDE_MS = 7_000;
const BETWEEN_MS = 2_500;
const SHARP_SHARE = 0.8;

/** Where a small sharp step lies: index of the first second after it; −1 where there is none. */
export function smallStep(of: readonly Seen[], stepW: number): number {
  const end = of.at(-1)!.atMs;
  const after = of.findIndex(s => s.atMs > end - SIDE_MS);
  const rest = of.slice(0, after).filter(s => s.atMs <= end - SIDE_MS - BETWEEN_MS);
  const before = lastOf(rest, SIDE_MS);
  const later = of.slice(after);
  if (before.length < 5 || later.length < 5 || before[0]!.atMs > end - 2 * SIDE_MS - BETWEEN_MS + 3_000) return -1;
  const change = Math.abs(mean(later) - mean(before));
  const scatter = Math.hypot(scatterW(before), scatterW(later)) / Math.sqrt(later.length / 2);
  if (change < Math.max(1.5 * stepW, 0.008 * mean(before), 4 * scatter)) return -1;
  if (Math.max(spread(before), spread(later)) > Math.max(stepW, 0.6 * change)) return -1;
  // On a slope the near ends differ by about half of what the middles do; at a step by all of it.
  const near = Math.abs(mean(later.slice(0, 3)) - mean(before.slice(-3)));
  return near >= SHARP_SHARE * change ? after : -1;
}

/** A hand turns a panel within this; a cloud's edge mostly takes longer. */
const SHARP_MS = 1_800;
const SLOPE_SHARE = 0.015;
const DIP_SHARE = 0.93;
const DARKEST_SHARE = 0.08;
const STRAIGHT_SHARE = 0.08;
/** Way up and down over what is left of it. */
const STRAIGHT = 1.25;

/** Above a plateau by this, hands seldom bring it. */
const GLEAM_SHARE = 1.08;
const HUNTS_TIMES = 5;
const GLEAM_MS = 2_500;

/** Whether power rose from a plateau for a while without a dip, by more than hunting does. @param scatter of it, W */
export function gleams(between: readonly Seen[], levelW: number, scatter: number): boolean {
  const above = Math.max(GLEAM_SHARE * levelW, levelW + HUNTS_TIMES * scatter);
  const bright = between.filter(s => s.powerW > above);
  if (bright.length < 2 || bright.at(-1)!.atMs - bright[0]!.atMs < GLEAM_MS) return false;
  return between.every(s => s.powerW >= DIP_SHARE * levelW);
}

/** How power went from one plateau to the next. @param stepW the station's resolution */
export function cameBy(from: Stretch | null, between: readonly Seen[], to: readonly Seen[], stepW: number): Came {
  if (from === null || from.seen.length === 0 || to.length === 0) return 'byHands';
  const before = levelOf(from.seen);
  const [a, b] = [mean(before), mean(to)];
  const [low, high] = [Math.min(a, b), Math.max(a, b)];
  // No cloud takes nearly all; that is a hand, a cable or the night.
  if (high - low < Math.max(1.5 * stepW, SLOPE_SHARE * high) || low < DARKEST_SHARE * high)
    return gleams(between, high, scatterW(before)) && low >= DARKEST_SHARE * high ? 'byCloud' : 'byHands';
  // Levels of a tracker that hunts differ by chance.
  const chance = Math.hypot(scatterW(before), scatterW(to)) / Math.sqrt(Math.min(before.length, to.length) / 2);
  if (high - low < 4 * chance) return 'byHands';
  const way = between.filter(s => s.powerW > low + 0.1 * (high - low) && s.powerW < high - 0.1 * (high - low));
  const path = between.reduce((sum, s, k) => sum + Math.abs(s.powerW - (between[k - 1]?.powerW ?? a)), 0);
  const hunting = 1.2 * between.length * scatterW(before);
  if (path > STRAIGHT * (high - low) + hunting || between.some(s => s.powerW < DIP_SHARE * low)) return 'byHands';
  if (way.length >= 2 && way.at(-1)!.atMs - way[0]!.atMs >= SHARP_MS) return 'byCloud';
  return high - low >= STRAIGHT_SHARE * high ? 'straight' : 'byHands';
}

const AGAIN_MS = 4_000;
const AGAIN_SECONDS = 4;
const FORGET_MS = 14_000;

/** After a dip: back on the same plateau, on another one, or too soon to tell. */
export function afterDip(before: readonly Seen[], after: readonly Seen[], stepW: number): 'same' | 'other' | 'tooSoon' {
  const slow = isSlow(after);
  const lasts = (after.at(-1)?.atMs ?? 0) - (after[0]?.atMs ?? 0);
  if (slow ? after.length < 2 : after.length < AGAIN_SECONDS || lasts < AGAIN_MS) return 'tooSoon';
  const was = levelOf(before);
  const change = Math.abs(mean(after) - mean(was));
  const scatter = Math.hypot(scatterW(was), scatterW(after)) / Math.sqrt(Math.min(was.length, after.length) / 2);
  if (change > Math.max(1.2 * stepW, 0.005 * mean(was), 4 * scatter)) return 'other';
  return lasts < FORGET_MS ? 'tooSoon' : 'same';
}
