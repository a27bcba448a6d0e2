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
