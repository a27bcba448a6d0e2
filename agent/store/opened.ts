/** What opening a record takes and gives. */
import type { RecordQueries, RecordWriter } from '#messages';
import type { BrokenDay } from './keep/day-seals.ts';

export interface OpenOptions {
  /** The clock, UTC epoch ms. */
  nowMs(): number;
  /** How often the caller commits; told by savedState(). */
  commitIntervalMs: number;
  /** A simulated record: never opened as a real one, nor the other way round. */
  demo?: boolean;
  readOnly?: boolean;
  /** Version of the program, for the manifest of what is kept before a new schema. */
  program?: string;
}

export interface OpenedRecord extends RecordQueries, RecordWriter {
  /** SQLite's own check of the whole file; empty where all is well. Slow on a large record. */
  check(): string[];
  /** Checks the seals of all closed days, writing nothing; gives those that no longer match. Slow on a large record. */
  checkSeals(): BrokenDay[];
  /**
   * One small piece of what the record does for itself: its reserve, seals of days that are over, checks of some. Gives
   * the days newly found broken. Throws WattkeepError where the disk or the record does not let it.
   */
  upkeep(): BrokenDay[];
  /** Empties the write-ahead log and lets the folder go. Idempotent. */
  close(): void;
}
