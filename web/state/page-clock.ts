/**
 * The page's one way to time: a monotonic clock for every age and countdown, timers, and the wall clock only to tell
 * the agent what the page believes. Ages never come from comparing two wall clocks.
 */

export interface PageClock {
  /** Monotonic ms since the page began. */
  nowMs(): number;
  /** The wall clock, ISO 8601. */
  wallIso(): string;
  after(delayMs: number, call: () => void): TimerHandle;
  /** Calls once the next frame was shown, or soon where the page is hidden. */
  whenShown(call: () => void): void;
}

export interface TimerHandle {
  cancel(): void;
}

/** Less than this between two clocks is one of them being put right. */
const SLEEP_MS = 2_000;

/**
 * A phone's monotonic clock stands still while it sleeps; its wall clock does not. What the wall clock says more of the
 * time the page was away counts as passed. Where it was put forward meanwhile, ages are too high until the next reading.
 */
export function countSleep(monoMs: () => number, wallMs: () => number) {
  let sleptMs = 0;
  let leftMs: number | null = null;
  const aheadMs = () => wallMs() - monoMs();
  return {
    nowMs: (): number => monoMs() + sleptMs,
    left(): void {
      leftMs ??= aheadMs();
    },
    returned(): void {
      const asleepMs = leftMs === null ? 0 : aheadMs() - leftMs;
      leftMs = null;
      if (asleepMs > SLEEP_MS) sleptMs += asleepMs;
    },
  };
}
