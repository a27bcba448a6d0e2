/**
 * The instant of a reading: wall time where it can be trusted, monotonic time carried on where it cannot. Never goes
 * back: a small computer without a clock chip wakes in the past during an outage, and its rows must not land before
 * the last one. One that woke ahead and was put right leaves the record ahead of it: the record's time then runs at half
 * the pace of what was lived through, until the two meet. Instants UTC epoch ms, `monoMs` monotonic.
 */
import type { ClockState } from '#kit';

/** A wall clock that runs off by more than this against the monotonic one was stepped. */
const STEP_MS = 2_000;
/**
 * Within this the two clocks agree, and the monotonic one is followed: it does not jitter, so that the distances of
 * instants are the spans that were lived through.
 */
const JITTER_MS = 50;
/** A clock that was put back is believed once it has run on steadily for so long. */
const STEADY_MS = 1_800_000;
/** A page's clock and the computer's that agree within this are right. */
const AGREE_MS = 120_000;
/** Further ahead than any zone's time is of universal time, the record waits for the clock instead. */
const CATCH_UP_MOST_MS = 14 * 3_600_000;
const CATCH_UP_PACE = 0.5;
/** No reading can be older than this program. */
const EARLIEST_AT = Date.UTC(2026, 0, 1);

export interface Stamp {
  at: number;
  clock: ClockState;
}

export interface Stamper {
  /** @param wallMs UTC epoch ms as the computer believes it; @param monoMs monotonic ms of the same moment */
  stamp(wallMs: number, monoMs: number): Stamp;
  /**
   * A page's clock: taken only where the computer's own is known to be wrong; one that agrees with it shows that the
   * record is ahead. True where it was taken.
   */
  correct(wallMs: number, monoMs: number): boolean;
  state(): ClockState;
}

/** @param lastAt instant of the last row on record, or null */
export function createStamper(lastAt: number | null): Stamper {
  let last: { at: number; monoMs: number } | null = lastAt === null ? null : { at: lastAt, monoMs: Number.NaN };
  /** UTC minus monotonic as told by a page, while the computer's own clock is wrong. */
  let told: number | null = null;
  // Nothing is doubted before the first stamp.
  let state: ClockState = 'synced';
  const wall = watchWall();
  /** Where the record began to wait for the clock. */
  let slowFrom: { at: number; monoMs: number } | null = null;

  const believable = (wallMs: number) => wallMs >= EARLIEST_AT && (last === null || wallMs >= last.at);

  function next(wallMs: number, monoMs: number): Stamp {
    if (told !== null && !believable(wallMs)) return { at: Math.max(told + monoMs, last?.at ?? 0), clock: 'stepped' };
    if (last === null || Number.isNaN(last.monoMs)) {
      if (believable(wallMs)) return { at: wallMs, clock: 'synced' };
      return { at: last === null ? wallMs : last.at + 1, clock: 'unknown' };
    }
    const carried = last.at + (monoMs - last.monoMs);
    const offMs = wallMs - carried;
    const isAhead = offMs < (slowFrom === null ? -STEP_MS : -JITTER_MS) && -offMs <= CATCH_UP_MOST_MS;
    if (isAhead && wallMs >= EARLIEST_AT && wall.isRight(monoMs)) {
      slowFrom ??= last;
      const at = Math.floor(slowFrom.at + (monoMs - slowFrom.monoMs) * CATCH_UP_PACE);
      return { at: Math.max(wallMs, last.at, at), clock: 'stepped' };
    }
    slowFrom = null;
    if (Math.abs(offMs) <= JITTER_MS) return { at: carried, clock: 'synced' };
    if (Math.abs(offMs) <= STEP_MS) return { at: Math.max(wallMs, last.at), clock: 'synced' };
    if (offMs > 0 && wallMs >= EARLIEST_AT) return { at: wallMs, clock: 'stepped' };
    return { at: carried, clock: state === 'unknown' ? 'unknown' : 'stepped' };
  }

  return {
    stamp(wallMs, monoMs) {
      wall.see(wallMs, monoMs);
      const made = next(wallMs, monoMs);
      last = { at: made.at, monoMs };
      state = made.clock;
      return made;
    },
    correct(wallMs, monoMs) {
      wall.compare(wallMs, monoMs);
      if (state !== 'unknown' || wallMs < EARLIEST_AT || (last !== null && wallMs < last.at)) return false;
      told = wallMs - monoMs;
      return true;
    },
    state: () => state,
  };
}

interface WallWatch {
  see(wallMs: number, monoMs: number): void;
  /** @param pageMs what a page's clock says at that moment */
  compare(pageMs: number, monoMs: number): void;
  /** It was put back and runs on steadily, or a page's clock says the same. */
  isRight(monoMs: number): boolean;
}

/** Looks at the computer's own clock alone: whether what it says now can be held against the record. */
function watchWall(): WallWatch {
  /** UTC minus monotonic, since when, and whether it had been more before. */
  let runs: { offMs: number; sinceMono: number; wasAhead: boolean } | null = null;
  let agreed = false;
  return {
    see(wallMs, monoMs) {
      const offMs = wallMs - monoMs;
      if (runs === null || Math.abs(offMs - runs.offMs) > STEP_MS) {
        agreed = false;
        runs = { offMs, sinceMono: monoMs, wasAhead: runs !== null && offMs < runs.offMs };
      } else runs.offMs = offMs;
    },
    compare(pageMs, monoMs) {
      if (runs !== null) agreed ||= Math.abs(runs.offMs + monoMs - pageMs) <= AGREE_MS;
    },
    isRight: monoMs => agreed || (runs?.wasAhead === true && monoMs - runs.sinceMono >= STEADY_MS),
  };
}
