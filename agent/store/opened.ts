/** What opening a record takes and gives. */
import type { RecordQueries, RecordWriter, RowCount, Told } from '#messages';
import type { OlderBatch } from './insert-older.ts';
import type { BrokenDay } from './keep/day-seals.ts';
import type { PastBefore } from './query/past.ts';

export interface OpenOptions {
  /** The clock, UTC epoch ms. */
  nowMs(): number;
  /** How often the caller commits; told by savedState(). */
  commitIntervalMs: number;
  /** Days that raw readings are kept, as it is set now; null, or where not given: for ever. Minutes are always. */
  keepRawDays?(): number | null;
  /** How long the owner is told before readings go for the first time; where not given they go at once. */
  letGoNoticeMs?: number;
  /** A simulated record: never opened as a real one, nor the other way round. */
  demo?: boolean;
  readOnly?: boolean;
  /** Version of the program, for the manifest of what is kept before a new schema. */
  program?: string;
}

export interface OpenedRecord extends RecordQueries, RecordWriter {
  /** Instants of each block that reaches into [fromMs, toMs], with the block before and the one after; in order. */
  instants(station: string, fromMs: number, toMs: number): Iterable<Float64Array>;
  /** What the readings of [fromMs, toMs) tell of, in pieces: the columns of a file of them. */
  told(station: string, fromMs: number, toMs: number): Iterable<Told>;
  /** How many rows a file of the readings of [fromMs, toMs) has, but for a part of an hour. */
  rowCount(station: string, fromMs: number, toMs: number): RowCount;
  /** Changes with what was recorded or told before an instant; null where that is not over. */
  pastMark(station: string, before: PastBefore): string | null;
  /**
   * Adds readings before the record's first or in a gap of it, with what they add to their days, in one transaction;
   * closed days that it touches are sealed anew in it. Which readings may be added is the caller's business.
   */
  insertOlder(batch: OlderBatch): void;
  /** SQLite's own check of the whole file; empty where all is well. Slow on a large record. */
  check(): string[];
  /** Checks the seals of all closed days, writing nothing; gives those that no longer match. Slow on a large record. */
  checkSeals(): BrokenDay[];
  /**
   * One small piece of what the record does for itself: its reserve, seals of days that are over, checks of some, raw
   * readings let go whose time is over. Gives the days newly found broken. Throws WattkeepError where the disk or the record does not let it.
   */
  upkeep(): BrokenDay[];
  /** Empties the write-ahead log and lets the folder go. Idempotent. */
  close(): void;
}
