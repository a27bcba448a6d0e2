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
  readings: readonly Reading[];
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
  /** Its readings where a batch holds others too. */
  gathered: Reading[];
}

function begin(station: string, end: StationEnd): Looking {
  const gathered: Reading[] = [];
  return {
    station,
    readings: gathered,
    sessions: new Map(),
    verdict: 'fresh',
    lastAt: Number.NEGATIVE_INFINITY,
    replayed: 0,
    end,
    recorded: new Map(),
    gathered,
  };
}

/** Why a reading cannot follow one at `lastAt`, and one of its session with `lastSeq`; null where it can. */
function wrongWith({ session, seq, at }: Reading, lastAt: number, lastSeq: number): string | null {
  if (!Number.isFinite(at) || !Number.isSafeInteger(seq)) return `reading ${session}/${seq} has no place`;
  if (at < lastAt) return `reading ${session}/${seq} lies before the one ahead of it`;
  return seq <= lastSeq ? `${session}/${seq} follows ${session}/${lastSeq}` : null;
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

/**
 * Looks at the readings from `from` on that are of one station and session, and adds them to the station's share.
 *
 * @returns the place behind the last of them
 */
function admitRun(readings: readonly Reading[], from: number, share: Looking): number {
  const { station, session } = readings[from]!;
  const ends = share.sessions.get(session);
  if (!share.recorded.has(session)) share.recorded.set(session, share.end.lastSeq(session));
  const recorded = share.recorded.get(session) ?? Number.NEGATIVE_INFINITY;
  let [lastAt, lastSeq] = [share.lastAt, ends?.last.seq ?? Number.NEGATIVE_INFINITY];
  let row = from;
  for (; row < readings.length; row++) {
    const reading = readings[row]!;
    if (reading.session !== session || reading.station !== station) break;
    const wrong = wrongWith(reading, lastAt, lastSeq);
    if (wrong !== null && share.verdict === 'fresh') share.verdict = { refused: wrong };
    lastAt = reading.at;
    lastSeq = reading.seq;
    if (lastSeq <= recorded) share.replayed++;
  }
  share.lastAt = lastAt;
  share.sessions.set(session, { first: ends?.first ?? readings[from]!, last: readings[row - 1]! });
  // An import brings a day that is of one station and session.
  if (row - from === readings.length) share.readings = readings;
  else for (let place = from; place < row; place++) share.gathered.push(readings[place]!);
  return row;
}

/** One pass over all readings, since an import brings a day of them: each further one costs as much again. */
export function admit(readings: readonly Reading[], endOf: (station: string) => StationEnd): Share[] {
  const shares = new Map<string, Looking>();
  for (let row = 0; row < readings.length; ) {
    const { station } = readings[row]!;
    const share = shares.get(station) ?? begin(station, endOf(station));
    shares.set(station, share);
    row = admitRun(readings, row, share);
  }
  return [...shares.values()].map(one => ({ ...one, verdict: judge(one) }));
}
