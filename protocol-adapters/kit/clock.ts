/**
 * Time as an argument. Rooms that decide are handed a clock and timers, so that a test can own both.
 */

export interface Clock {
  /** UTC epoch ms; may step either way. */
  nowMs(): number;
  /** Ms since the agent started; never goes back. */
  monoMs(): number;
}

export interface Timers {
  /** Runs `run` once after `delayMs`; the answer cancels it (idempotent, harmless afterwards). */
  after(delayMs: number, run: () => void): () => void;
}
