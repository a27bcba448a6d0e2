/**
 * Decides which readings of a batch may join the record. Pure. Order is (session, seq); a reading is identified by them,
 * so a batch that was already committed is recognised whole and changes nothing again.
 */
import type { Reading } from '#kit';

export interface StationEnd {
  /** Instant of the last recorded reading; null before the first. */
  lastAt: number | null;
  /** Last recorded seq of a session; undefined where the session is new. */
  lastSeq(session: string): number | undefined;
}

/** First and last reading of one session. */
export interface Ends {
  first: Reading;
  last: Reading;
}

/** One station's share of a batch. */
export interface Share {
  station: string;
  readings: Reading[];
  sessions: Map<string, Ends>;
  /** Last recorded seq of each; undefined where it is new. */
  recorded: Map<string, number | undefined>;
  /** All are new, or all are recorded already; else a fault of the caller, told in words. */
  verdict: 'fresh' | 'replayed' | { refused: string };
}

interface Looking extends Share {
  lastAt: number;
  replayed: number;
  end: StationEnd;
}

const begin = (station: string, end: StationEnd): Looking => ({
  station,
  readings: [],
  sessions: new Map(),
  verdict: 'fresh',
  lastAt: Number.NEGATIVE_INFINITY,
  replayed: 0,
  end,
  recorded: new Map(),
});

/** Why a reading cannot follow those before it; null where it can. */
function wrongWith({ session, seq, at }: Reading, share: Looking, last: Reading | undefined): string | null {
  if (!Number.isFinite(at) || !Number.isSafeInteger(seq)) return `reading ${session}/${seq} has no place`;
  if (at < share.lastAt) return `reading ${session}/${seq} lies before the one ahead of it`;
  if (last !== undefined && seq <= last.seq) return `${session}/${seq} follows ${session}/${last.seq}`;
  return null;
}

function judge({ readings, replayed, end, verdict }: Looking): Share['verdict'] {
  if (verdict !== 'fresh') return verdict;
  const first = readings[0]!;
  if (replayed === readings.length) return 'replayed';
  if (replayed > 0)
    return { refused: `${replayed} of ${readings.length} readings are recorded already: its totals cannot be split` };
  if (end.lastAt === null || first.at >= end.lastAt) return 'fresh';
  const iso = (ms: number) => new Date(ms).toISOString();
  return { refused: `a reading at ${iso(first.at)} would be written before the last one at ${iso(end.lastAt)}` };
}

/** One pass over all readings, since an import brings a day of them: each further one costs as much again. */
export function admit(readings: readonly Reading[], endOf: (station: string) => StationEnd): Share[] {
  const shares = new Map<string, Looking>();
  let share: Looking | undefined;
  let ends: Ends | undefined;
  let recorded: number | undefined;
  for (const reading of readings) {
    if (share === undefined || reading.station !== share.station) {
      share = shares.get(reading.station) ?? begin(reading.station, endOf(reading.station));
      shares.set(reading.station, share);
      ends = undefined;
    }
    if (ends === undefined || ends.last.session !== reading.session) {
      ends = share.sessions.get(reading.session);
      if (!share.recorded.has(reading.session)) share.recorded.set(reading.session, share.end.lastSeq(reading.session));
      recorded = share.recorded.get(reading.session);
    }
    const wrong = wrongWith(reading, share, ends?.last);
    if (wrong !== null && share.verdict === 'fresh') share.verdict = { refused: wrong };
    if (ends === undefined) {
      ends = { first: reading, last: reading };
      share.sessions.set(reading.session, ends);
    }
    ends.last = reading;
    share.lastAt = reading.at;
    if (recorded !== undefined && reading.seq <= recorded) share.replayed++;
    share.readings.push(reading);
  }
  return [...shares.values()].map(one => ({ ...one, verdict: judge(one) }));
}
