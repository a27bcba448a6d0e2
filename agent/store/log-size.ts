/**
 * How large the write-ahead log beside the record is. Commits keep it at some megabytes; it grows while something holds on
 * to an old state of the record, since nothing of it can be written back into the file then. Bytes.
 */
import { statSync } from 'node:fs';
import type { RecordNote } from '#messages';

/** Four times what it is cut to once it was written back. */
export const LONG_LOG_BYTES = 64 * 1024 * 1024;

/** @param path of the record; where its log cannot be looked at nothing is said of it */
export function lookAtLog(path: string): { bytes: number | undefined; notes: RecordNote[] } {
  let bytes: number | undefined;
  try {
    bytes = statSync(`${path}-wal`, { throwIfNoEntry: false })?.size ?? 0;
  } catch {
    return { bytes, notes: [] };
  }
  return { bytes, notes: bytes > LONG_LOG_BYTES ? [{ kind: 'longLog', bytes }] : [] };
}
