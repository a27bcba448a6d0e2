/**
 * The instant of a reading: wall time where it can be trusted, monotonic time carried on where it cannot. Never goes
 * back: a small computer without a clock chip wakes in the past during an outage, and its rows must not land before
 * the last one.
 */
import type { ClockState } from '#kit';

/** A wall clock that runs off by more than this against the monotonic one was stepped. */
const STEP_MS = 2_000;
/**
 * Within this the two clocks agree, and the monotonic one is followed: it does not jitter, so that the distances of
 * instants are the spans that were lived through.
 */
const JITTER_MS = 50;
/** No reading can be older than this program. */
const EARLIEST_AT = Date.UTC(2026, 0, 1);

export interface Stamp {
  at: number;
  clock: ClockState;
}

export interface Stamper {
  /** @param wallMs UTC epoch ms as the computer believes it; @param monoMs monotonic ms of the same moment */
  stamp(wallMs: number, monoMs: number): Stamp;
  /** A paged owner's clock: taken only where the computer's own is known to be wrong. True where it was taken. */
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

  const believable = (wallMs: number) => wallMs >= EARLIEST_AT && (last === null || wallMs >= last.at);

  function next(wallMs: number, monoMs: number): Stamp {
    if (told !== null && !believable(wallMs)) return { at: Math.max(told + monoMs, last?.at ?? 0), clock: 'stepped' };
    if (last === null || Number.isNaN(last.monoMs)) {
      if (believable(wallMs)) return { at: wallMs, clock: 'synced' };
      return { at: last === null ? wallMs : last.at + 1, clock: 'unknown' };
    }
    const carried = last.at + (monoMs - last.monoMs);
    const offMs = wallMs - carried;
    if (Math.abs(offMs) <= JITTER_MS) return { at: carried, clock: 'synced' };
    if (Math.abs(offMs) <= STEP_MS) return { at: Math.max(wallMs, last.at), clock: 'synced' };
    if (offMs > 0 && wallMs >= EARLIEST_AT) return { at: wallMs, clock: 'stepped' };
    return { at: carried, clock: state === 'unknown' ? 'unknown' : 'stepped' };
  }

  return {
    stamp(wallMs, monoMs) {
      const made = next(wallMs, monoMs);
      last = { at: made.at, monoMs };
      state = made.clock;
      return made;
    },
    correct(wallMs, monoMs) {
      if (state !== 'unknown' || wallMs < EARLIEST_AT || (last !== null && wallMs < last.at)) return false;
      told = wallMs - monoMs;
      return true;
    },
    state: () => state,
  };
}
