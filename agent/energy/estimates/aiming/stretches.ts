/**
 * Cuts the seconds into stretches without a move: after a move the station's tracker hunts, then power stands on a
 * plateau, until it leaves that for longer than a sweep of the tracker takes. A small sharp step between two level parts
 * is a move too; a slow slope is not, that is the sky.
 */
import {
  afterDip,
  cameBy,
  gleams,
  lastOf,
  levelOf,
  mean,
  type Seen,
  type Stretch,
  scatterW,
  settledWith,
  smallStep,
} from './plateaus.ts';

/** Longest that a sweep of the tracker, or a hand before the panel, takes. */
const DIP_MS = 5_000;
/** Silence after which nobody knows what was moved. */
const SILENCE_MS = 30_000;
/** Before a move one's hands are already at the panels. */
const HANDS_MS = 1_200;
const KEEP_MS = 300_000;
const STRETCHES_KEPT = 24;
const LOOSE_KEPT = 300;

/** @param stepW the station's resolution, W */
export function createStretches(stepW: () => number) {
  const stretches: Stretch[] = [];
  let current: Stretch | null = null;
  /** Seconds since the move, or seconds that left the plateau and may come back. */
  let loose: Seen[] = [];
  /** The first seconds back within the plateau: one alone may be chance. */
  let back: Seen[] = [];
  /** A dip that power came back from: what was seen in it, and how much of the stretch lies before. */
  let dip: { seen: readonly Seen[]; before: number } | null = null;
  let movedAtMs = Number.NaN;

  const begin = (seen: Seen[], between: readonly Seen[]): void => {
    current = { movedAtMs, seen, came: cameBy(stretches.at(-1) ?? null, between, seen, stepW()), gleamAtMs: null };
    stretches.push(current);
    if (stretches.length > STRETCHES_KEPT) stretches.shift();
    [loose, back, dip] = [[], [], null];
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
    if (window !== null) begin(window, loose);
  };

  /** Parts a stretch that was two: the second half begins at `at`. */
  const part = (stretch: Stretch, at: number, between: readonly Seen[]): void => {
    const after = stretch.seen.splice(at);
    end(between[0]?.atMs ?? after[0]!.atMs);
    begin(after, between);
  };

  const stays = (stretch: Stretch, second: Seen): void => {
    if (loose.length >= 2 && back.length === 0) {
      back = [second];
      return;
    }
    if (loose.length > 0) {
      dip = { seen: loose, before: stretch.seen.length };
      const level = levelOf(stretch.seen);
      if (gleams(loose, mean(level), scatterW(level))) stretch.gleamAtMs = second.atMs;
    }
    stretch.seen.push(...back, second);
    [loose, back] = [[], []];
    const tooOld = stretch.seen.findIndex(s => s.atMs >= second.atMs - KEEP_MS);
    stretch.seen.splice(0, tooOld);
    if (dip !== null) {
      dip = { ...dip, before: Math.max(0, dip.before - tooOld) };
      const is = afterDip(stretch.seen.slice(0, dip.before), stretch.seen.slice(dip.before), stepW());
      if (is === 'other') part(stretch, dip.before, dip.seen);
      else if (is === 'same') dip = null;
      return;
    }
    const at = smallStep(stretch.seen, stepW());
    if (at >= 0) part(stretch, at, []);
  };

  const follow = (stretch: Stretch, second: Seen): void => {
    const level = levelOf(stretch.seen);
    const m = mean(level);
    const away = Math.abs(second.powerW - m);
    if (away <= Math.max(2.2 * stepW(), 0.025 * m, Math.min(0.1 * m, 4 * scatterW(level)))) {
      stays(stretch, second);
      return;
    }
    loose.push(...back, second);
    back = [];
    if (second.atMs - loose[0]!.atMs < DIP_MS || loose.length < 2) return;
    end(loose[0]!.atMs);
    settle();
  };

  return {
    add(second: Seen): void {
      const lastMs = loose.at(-1)?.atMs ?? current?.seen.at(-1)?.atMs ?? second.atMs;
      if (second.atMs - lastMs > SILENCE_MS) {
        end(second.atMs);
        [loose, back, dip] = [[], [], null];
      }
      if (Number.isNaN(movedAtMs)) movedAtMs = second.atMs;
      if (current !== null) follow(current, second);
      else {
        loose.push(second);
        if (loose.length > LOOSE_KEPT) loose.shift();
        settle();
      }
    },
    /** Told, not seen: whatever stood is over. */
    moved(atMs: number): void {
      end(atMs);
      [loose, back, dip] = [[], [], null];
    },
    /** The stretch the panels are on; null while they are moved, or power has not settled or is off its plateau. */
    current: (): Stretch | null => (loose.length >= 2 ? null : current),
    /** All that are remembered, oldest first, the current one too. */
    all: (): readonly Stretch[] => stretches,
    movedAtMs: () => movedAtMs,
  };
}

export type Stretches = ReturnType<typeof createStretches>;
