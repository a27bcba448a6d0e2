/** What opening a record takes and gives. */
import type { RecordQueries, RecordWriter } from '#messages';

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
  /** Empties the write-ahead log and lets the folder go. Idempotent. */
  close(): void;
}
