/**
 * Decides whether a batch's readings of one station may join the record. Pure. Order is (session, seq); a reading is
 * identified by them, so a batch that was already committed is recognised whole and changes nothing again.
 */
import type { Reading } from '#kit';

export interface StationEnd {
  /** Instant of the last recorded reading; null before the first. */
  lastAt: number | null;
  /** Last recorded seq of a session; undefined where the session is new. */
  lastSeq(session: string): number | undefined;
}

/** A refusal is a fault of the caller, told in words. */
export type Admission = 'fresh' | 'replayed' | { refused: string };

export function admit(readings: readonly Reading[], end: StationEnd): Admission {
  const seqs = new Map<string, number>();
  let replayed = 0;
  let lastAt = Number.NEGATIVE_INFINITY;
  for (const { session, seq, at } of readings) {
    if (!Number.isFinite(at) || !Number.isSafeInteger(seq))
      return { refused: `reading ${session}/${seq} has no place` };
    if (at < lastAt) return { refused: `reading ${session}/${seq} lies before the one ahead of it` };
    lastAt = at;
    const before = seqs.get(session);
    if (before !== undefined && seq <= before) return { refused: `${session}/${seq} follows ${session}/${before}` };
    seqs.set(session, seq);
    const recorded = end.lastSeq(session);
    if (recorded !== undefined && seq <= recorded) replayed++;
  }
  if (replayed > 0) {
    return replayed === readings.length
      ? 'replayed'
      : { refused: `${replayed} of ${readings.length} readings are recorded already: its totals cannot be split` };
  }
  const first = readings[0];
  if (first !== undefined && end.lastAt !== null && first.at < end.lastAt) {
    const iso = (ms: number) => new Date(ms).toISOString();
    return { refused: `a reading at ${iso(first.at)} would be written before the last one at ${iso(end.lastAt)}` };
  }
  return 'fresh';
}
