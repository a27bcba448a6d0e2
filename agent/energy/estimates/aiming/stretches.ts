/**
 * Cuts the seconds into stretches without a move: after a move the station's tracker hunts, then power stands on a
 * plateau, until it leaves that for longer than a sweep of the tracker takes. A small sharp step between two level parts
 * is a move too; a slow slope is not, that is the sky. Thresholds are own judgement, tuned on the simulated plant.
 */
import type { Second } from './seconds.ts';

/** A second with what the cells had still to lose. */
export interface Seen extends Second {
  readonly coolShares: readonly number[];
  readonly meanCool: number;
}

/** A settled stretch. */
export interface Stretch {
  /** When the move before it began. */
  readonly movedAtMs: number;
  /** What led to it looks like a cloud's edge rather than like hands: a slope of seconds, without a dip. */
  readonly bySlope: boolean;
  readonly seen: Seen[];
}

/** Longest that a sweep of the tracker, or a hand before the panel, takes. */
const DIP_MS = 6_500;
/** Silence after which nobody knows what was moved. */
const SILENCE_MS = 30_000;
const SETTLED_OVER_MS = 6_000;
const SETTLED_SECONDS = 4;
const SLOW_MS = 4_000;
const SETTLED_SLOW_SECONDS = 3;
/** Before a move one's hands are already at the panels. */
const HANDS_MS = 1_200;
const KEEP_MS = 300_000;
const STRETCHES_KEPT = 24;

const mean = (of: readonly Seen[]): number => of.reduce((sum, s) => sum + s.powerW, 0) / of.length;
const spread = (of: readonly Seen[]): number => Math.max(...of.map(s => s.powerW)) - Math.min(...of.map(s => s.powerW));
const lastOf = (of: readonly Seen[], ms: number): Seen[] => {
  const from = (of.at(-1)?.atMs ?? 0) - ms;
  let k = of.length;
  while (k > 0 && of[k - 1]!.atMs > from) k--;
  return of.slice(k);
};

/** Standard deviation: scatter that the tracker itself makes by hunting. */
function scatterW(of: readonly Seen[]): number {
  const m = mean(of);
  return of.length < 3 ? 0 : Math.sqrt(of.reduce((sum, s) => sum + (s.powerW - m) ** 2, 0) / (of.length - 1));
}

/** Whether readings come so seldom that each stands for itself. */
const isSlow = (recent: readonly Seen[]): boolean =>
  recent.length >= 2 && recent.at(-1)!.atMs - recent.at(-2)!.atMs > SLOW_MS;

/** The plateau that has begun with the last seconds; null where none has. */
function settledWith(recent: readonly Seen[], stepW: number): Seen[] | null {
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

/** Where a small sharp step lies: index of the first second after it; −1 where there is none. */
function smallStep(of: readonly Seen[], stepW: number): number {
  const end = of.at(-1)!.atMs;
  const after = of.findIndex(s => s.atMs > end - SIDE_MS);
  const rest = of.slice(0, after).filter(s => s.atMs <= end - SIDE_MS - BETWEEN_MS);
  const before = lastOf(rest, SIDE_MS);
  const later = of.slice(after);
  if (before.length < 5 || later.length < 5 || before[0]!.atMs > end - 2 * SIDE_MS - BETWEEN_MS + 3_000) return -1;
  const change = Math.abs(mean(later) - mean(before));
  const scatter = Math.hypot(scatterW(before), scatterW(later)) / Math.sqrt(later.length / 2);
  if (change < Math.max(1.5 * stepW, 0.008 * mean(before), 4 * scatter)) return -1;
  return Math.max(spread(before), spread(later)) <= Math.max(stepW, 0.6 * change) ? after : -1;
}

/** A hand turns a panel within this; a cloud's edge mostly takes longer. */
const SHARP_MS = 1_800;
const SLOPE_SHARE = 0.03;
const DIP_SHARE = 0.93;
const DARKEST_SHARE = 0.08;
/** Way up and down over what is left of it. */
const STRAIGHT = 1.25;

/** Whether power went from one plateau to the next by a slope without a dip. */
function isSlope(from: Stretch | null, between: readonly Seen[], to: readonly Seen[]): boolean {
  if (from === null || from.seen.length === 0 || to.length === 0) return false;
  const [a, b] = [mean(lastOf(from.seen, 10_000)), mean(to)];
  const [low, high] = [Math.min(a, b), Math.max(a, b)];
  // No cloud takes nearly all; that is a hand, a cable or the night.
  if (high - low < SLOPE_SHARE * high || low < DARKEST_SHARE * high) return false;
  const way = between.filter(s => s.powerW > low + 0.1 * (high - low) && s.powerW < high - 0.1 * (high - low));
  const path = between.reduce((sum, s, k) => sum + Math.abs(s.powerW - (between[k - 1]?.powerW ?? a)), 0);
  if (path > STRAIGHT * (high - low) || between.some(s => s.powerW < DIP_SHARE * low)) return false;
  return way.length >= 2 && way.at(-1)!.atMs - way[0]!.atMs >= SHARP_MS;
}

/** @param stepW the station's resolution, W */
export function createStretches(stepW: () => number) {
  const stretches: Stretch[] = [];
  let current: Stretch | null = null;
  /** Seconds since the move, or seconds that left the plateau and may come back. */
  let loose: Seen[] = [];
  let movedAtMs = Number.NaN;

  const begin = (seen: Seen[], between: readonly Seen[]): void => {
    current = { movedAtMs, seen, bySlope: isSlope(stretches.at(-1) ?? null, between, seen) };
    stretches.push(current);
    if (stretches.length > STRETCHES_KEPT) stretches.shift();
  };
  const end = (leftAtMs: number): void => {
    if (current !== null) {
      const { seen } = current;
      while (seen.length > 1 && seen.at(-1)!.atMs > leftAtMs - HANDS_MS) seen.pop();
      const level = mean(lastOf(seen, 10_000).length > 4 ? lastOf(seen, 10_000) : seen.slice(-5));
      for (let k = 0; k < 2 && seen.length > 2; k++)
        if (Math.abs(seen.at(-1)!.powerW - level) > Math.max(1.5 * stepW(), 0.005 * level)) seen.pop();
    }
    current = null;
    movedAtMs = leftAtMs;
  };

  const settle = (): void => {
    const window = settledWith(loose, stepW());
    if (window === null) return;
    begin(window, loose);
    loose = [];
  };

  const follow = (stretch: Stretch, second: Seen): void => {
    const level = lastOf(stretch.seen, 10_000);
    const few = level.length < 3 ? stretch.seen.slice(-3) : level;
    const away = Math.abs(second.powerW - mean(few));
    if (away <= Math.max(2.2 * stepW(), 0.025 * mean(few), Math.min(0.1 * mean(few), 4 * scatterW(few)))) {
      stretch.seen.push(second);
      loose = [];
      while (stretch.seen[0]!.atMs < second.atMs - KEEP_MS) stretch.seen.shift();
      const at = smallStep(stretch.seen, stepW());
      if (at < 0) return;
      const after = stretch.seen.splice(at);
      end(after[0]!.atMs);
      begin(after, []);
      return;
    }
    loose.push(second);
    if (second.atMs - loose[0]!.atMs < DIP_MS || loose.length < 2) return;
    end(loose[0]!.atMs);
    settle();
  };

  return {
    add(second: Seen): void {
      const lastMs = loose.at(-1)?.atMs ?? current?.seen.at(-1)?.atMs ?? second.atMs;
      if (second.atMs - lastMs > SILENCE_MS) {
        end(second.atMs);
        loose = [];
      }
      if (Number.isNaN(movedAtMs)) movedAtMs = second.atMs;
      if (current !== null) follow(current, second);
      else {
        loose.push(second);
        if (loose.length > 300) loose.shift();
        settle();
      }
    },
    /** Told, not seen: whatever stood is over. */
    moved(atMs: number): void {
      end(atMs);
      loose = [];
    },
    /** The stretch the panels are on; null while they are moved, or power has not settled or is off its plateau. */
    current: (): Stretch | null => (loose.length >= 2 ? null : current),
    /** All that are remembered, oldest first, the current one too. */
    all: (): readonly Stretch[] => stretches,
    movedAtMs: () => movedAtMs,
  };
}

export type Stretches = ReturnType<typeof createStretches>;
