/**
 * What the record offers to whoever reads it. The store implements it, the server and derive use it; instants are
 * UTC epoch ms in here, ISO 8601 only on the wire.
 */
import type { InputLimit, InputSource, QuantityKey, Reading } from '#kit';
import type { BridgedBlock, CountedDay, CountedDelta, CounterEnd } from './counted.ts';

export interface SeriesRequest {
  station: string;
  quantities: readonly QuantityKey[];
  fromMs: number;
  toMs: number;
  /** Buckets wanted at most; the answer has between 1 and this many. */
  points: number;
}

export interface SeriesColumn {
  /** null where the bucket holds no reading: a gap stays a gap. */
  min: (number | null)[];
  mean: (number | null)[];
  max: (number | null)[];
}

/** Equal buckets: bucket i covers [startMs + i·stepMs, startMs + (i+1)·stepMs). */
export interface Series {
  startMs: number;
  stepMs: number;
  count: number;
  columns: { [K in QuantityKey]?: SeriesColumn };
}

/** What can hold a station's input back, in the order of `RecordQueries.limits`. */
export const INPUT_LIMITS = ['nothing', 'full', 'port', 'cold', 'owner'] as const satisfies readonly InputLimit[];

/** Rollups as they are kept, without any being put together. */
export interface MeansRequest {
  station: string;
  quantities: readonly QuantityKey[];
  /** A multiple of `stepMs`. */
  fromMs: number;
  toMs: number;
  stepMs: 60_000 | 900_000;
  /** The greatest values as well. */
  greatest?: boolean;
}

/**
 * Bucket i covers [fromMs + i·stepMs, fromMs + (i+1)·stepMs); NaN where it holds no reading. A quantity that the station
 * never told is absent; `max` is empty where it was not asked for.
 */
export type Means = { [K in QuantityKey]?: { readonly mean: Float64Array; readonly max: Float64Array } };

/** What one civil day gathered. Energies in mJ (integers, so that sums are exact); a day sum never holds a gap. */
export interface DayTotals {
  /** Civil date `YYYY-MM-DD` in `zone`, the zone in force when it was recorded. */
  date: string;
  zone: string;
  startMs: number;
  endMs: number;
  /** From the sun: the harvest. */
  solarMilliJ: number;
  /** All input, whatever its source. */
  inputMilliJ: number;
  outputMilliJ: number;
  coveredMs: number;
  /** covered + gap = elapsed between the first and the last reading's instants of that day. */
  gapMs: number;
  solarPeakW: number;
  stateOfChargeMinPct: number | null;
  stateOfChargeMaxPct: number | null;
}

/** A date that lies wholly in a gap has totals as well, and no reading. */
export const holdsReadings = (day: DayTotals): boolean =>
  day.coveredMs > 0 ||
  day.inputMilliJ > 0 ||
  day.outputMilliJ > 0 ||
  day.solarPeakW > 0 ||
  day.stateOfChargeMinPct !== null;

/** Added to a day in the same transaction as the readings it came from. */
export interface DayDelta extends DayTotals {
  station: string;
}

export interface Outage {
  station: string;
  startedAt: number;
  /** null while it lasts. */
  endedAt: number | null;
  startPct: number | null;
  endPct: number | null;
  lowestPct: number | null;
  outputMilliJ: number;
  inputMilliJ: number;
  /** When the first end was told, and the end it told: careful and middle. null where none was. */
  promisedAt: number | null;
  promisedP10At: number | null;
  promisedP50At: number | null;
  /** When the floor was first shown. */
  floorAt: number | null;
}

/** A setting that was true from a date: a change never rewrites last year. */
export interface Fact {
  station: string;
  key: string;
  /** JSON of the value; null where the owner took it away. */
  valueJson: string | null;
  validFromMs: number;
}

/** What was learned of a station, JSON whose shape its writer knows: the newest replaces what was there. */
export interface LearnedValue {
  station: string;
  valueJson: string;
}

/** A place of the yard where panels stand at times; its plane and when they stood there are facts (`aiming/standing`). */
export interface Spot {
  station: string;
  /** Never given to another spot, even once it is removed. */
  id: string;
  name: string;
  note: string;
  removedAt: number | null;
}

/** What came in at one spot at one moment. */
export interface Mark {
  station: string;
  /** Counts up for a station, never used again. */
  id: number;
  /** One outing; counts up for a station. */
  walk: number;
  /** A, B, … within its walk. */
  letter: string;
  at: number;
  /** When the panels were last moved before it: they stood there from then on. */
  movedAt: number;
  /** Id of the named spot; null where it has no name. */
  spot: string | null;
  /** Id of the first mark made at the same place, where this is not the first; null otherwise. */
  againOf: number | null;
  note: string;
  meanW: number;
  /** Standard error of the mean, W. */
  errorW: number;
  /** What is needed to hold it against another one, JSON whose shape its writer knows. */
  seenJson: string;
  /** null: it stands. */
  takenBackAt: number | null;
}

export type SpanReason = 'lent' | 'stored' | 'travelling' | 'panelsIn' | 'released' | 'agentDown' | 'noReading';

/** A stretch of time with its reason: explains a gap. */
export interface Span {
  station: string;
  reason: SpanReason;
  fromMs: number;
  toMs: number | null;
  note: string;
}

/** A span as the owner told it: it replaces what was there of that reason and beginning. */
export interface ToldSpan extends Span {
  /** Set: it is told no more. */
  takenBackAt: number | null;
}

/** What the owner noted of a civil day. */
export interface Note {
  station: string;
  /** Counts up for a station, never used again. */
  id: number;
  date: string;
  /** The moment it is about; null: the whole day. */
  at: number | null;
  /** Empty once it is removed: what the owner took away is not kept. */
  text: string;
  /** When it was last written. */
  writtenAt: number;
  /** null: it stands. */
  takenBackAt: number | null;
}

/**
 * A reading, or what is left of a minute whose readings were let go: the means of its good values at its first instant,
 * rounded to the step they were stored at (a running total as it stood first). Such a minute has no states, its session
 * is `minutes`, and it can be told by `meanOverMs` alone.
 */
export interface KeptReading extends Reading {
  /** Set: means over so long, from `at` on. */
  meanOverMs?: number;
}

/** Rows of a file of readings: single readings, and minutes of which none are left. */
export interface RowCount {
  readings: number;
  minutes: number;
}

/** What readings tell of, apart from their values: the columns of a file of them. */
export interface Told {
  quantities: readonly QuantityKey[];
  /** Each way their words go together. */
  words: readonly Pick<KeptReading, 'states' | 'quality' | 'clock' | 'typed' | 'meanOverMs' | 'reasons'>[];
  /** In order, one for each row that is of another session than the row before, or whose clocks went apart since. */
  clocks: readonly { session: string; behindMs: number }[];
}

/** Raw readings that are kept beyond their time, since something was concluded from them: the newest word stands. */
export interface Evidence {
  station: string;
  /** What they prove, such as a trial and its number; one stretch may be kept for several reasons. */
  why: string;
  fromMs: number;
  toMs: number;
  /** Set: nobody needs them for this any more, and they go when their time is over. */
  droppedAt: number | null;
}

/** One trial as it is kept. What is made of it at its start does not follow later settings. */
export interface KeptTrial {
  station: string;
  /** Never used again, even once it is removed. */
  id: string;
  kind: string;
  startedAt: number;
  /** The owner ended it. */
  endedAt: number | null;
  /** JSON of what the owner chose… */
  optionsJson: string;
  /** …and of all it is judged with: from the settings and earlier trials as well. */
  askedJson: string;
  conditionsJson: string;
  stepsJson: string;
  /** Counts read off a meter. */
  typedJson: string;
  /** 1: of a simulated station. */
  simulated: 0 | 1;
  version: string;
  /** As it was told when it had ended, and the version that judged it; null while it is live. */
  judgementJson: string | null;
  judgedBy: string | null;
  /** Set: its words and its judgement are gone, its id stays taken. */
  removedAt: number | null;
}

/** A fact that became true at another instant than was said. */
export interface MovedFact {
  station: string;
  key: string;
  fromMs: number;
  toMs: number;
}

/** Where a station's record ends: what the next run needs to go on without counting anything twice. */
export interface Cursor {
  station: string;
  session: string;
  seq: number;
  at: number;
  /** The source of input the owner named by one tap, from when. */
  inputSource: InputSource;
}

export interface SavedState {
  /** Instant of the last committed reading, any station; null before the first. */
  lastSavedAt: number | null;
  commitIntervalMs: number;
  /** Words for a disk that no longer takes anything; null when saving works. */
  trouble: 'DISK_FULL' | 'DISK_READ_ONLY' | 'RECORD_DAMAGED' | null;
  troubleSinceAt: number | null;
  /** Size of the write-ahead log beside the file, bytes; undefined where it cannot be looked at. */
  logBytes?: number | undefined;
  /** What else the owner should know of it. */
  notes?: readonly RecordNote[];
}

export type RecordNote =
  /** Little is free; from `wantedBytes` on it is enough. */
  | { kind: 'lowSpace'; freeBytes: number; wantedBytes: number }
  /** So much is missing before saving goes on. */
  | { kind: 'toFree'; bytes: number }
  /** A stored day no longer matches its seal. */
  | { kind: 'brokenDay'; station: string; date: string }
  /** The file was damaged; what could be read lies in a fresh one since `at`. `lostBlocks` hours or so could not. */
  | { kind: 'rescued'; at: number; keptAs: string; readings: number; lostBlocks: number }
  /** Raw readings older than so many days go for the first time, not before `goesAt`. */
  | { kind: 'willLetGo'; keepRawDays: number; goesAt: number }
  /** The write-ahead log has grown beyond what commits need: something has been reading the record for long. */
  | { kind: 'longLog'; bytes: number }
  /** It was opened without its log; another record's is kept under that name. What was saved after `lastAt` may be lost. */
  | { kind: 'lostLog'; keptAs: string | null; lastAt: number | null }
  /** A check beside the running agent found the file damaged; the next start rescues what can be read. */
  | { kind: 'damaged' };

export interface RecordQueries {
  stations(): string[];
  latest(station: string): Reading | null;
  series(request: SeriesRequest): Series;
  /** For whoever goes through months of minutes. */
  means(request: MeansRequest): Means;
  /**
   * What the station itself said to hold its input back in most of each minute from `fromMs` on: one more than its place
   * in INPUT_LIMITS, 0 where it did not say. null where no reading that is kept says so: a minute's rollup does not tell.
   */
  limits(station: string, fromMs: number, minutes: number): Uint8Array | null;
  /**
   * Days whose date lies in [fromDate, toDate], oldest first; days without any reading are absent. A date is there twice
   * where the owner changed the zone on it.
   */
  days(station: string, fromDate: string, toDate: string): DayTotals[];
  /** First and last instant recorded, or null. */
  extent(station: string): { fromMs: number; toMs: number } | null;
  outages(station: string, fromMs: number, toMs: number): Outage[];
  spans(station: string, fromMs: number, toMs: number): Span[];
  facts(station: string): Fact[];
  cursor(station: string): Cursor | null;
  /** What was learned of a station; null where nothing was kept. */
  learned(station: string): string | null;
  /** All spots ever named, removed ones too. */
  spots(station: string): Spot[];
  /** Marks from a walk on, in the order they were made, those taken back too. */
  marks(station: string, fromWalk: number): Mark[];
  /** The newest mark, taken back or not; null before the first. */
  lastMark(station: string): Mark | null;
  /** Notes of days in [fromDate, toDate] that stand, in order of day and moment. */
  notes(station: string, fromDate: string, toDate: string): Note[];
  /** The newest note, removed or not; null before the first. */
  lastNote(station: string): Note | null;
  /** Stretches whose raw readings are kept beyond their time, oldest first. */
  evidence(station: string): Evidence[];
  /** Every trial there ever was, removed ones too, oldest first. */
  trials(station: string): KeptTrial[];
  /** The trial of an id, of any station; null where there never was one. */
  trial(id: string): KeptTrial | null;
  /** Trials of all stations that have not come to their end. */
  liveTrials(): KeptTrial[];
  /** Readings in the order they were recorded; minutes in their place where the readings were let go. */
  readings(station: string, fromMs: number, toMs: number): Iterable<KeptReading>;
  /** What its own counters counted on days in [fromDate, toDate], oldest first. */
  counted(station: string, fromDate: string, toDate: string): CountedDay[];
  /** Blocks that reach into [fromMs, toMs), oldest first. */
  bridges(station: string, fromMs: number, toMs: number): BridgedBlock[];
  /** Where each of its counters stood when it was last told. */
  counterEnds(station: string): CounterEnd[];
  savedState(): SavedState;
}

/** One commit: readings, totals and cursors of all stations, all or nothing. */
export interface Batch {
  readings: readonly Reading[];
  days: readonly DayDelta[];
  cursors: readonly Cursor[];
  outages: readonly Outage[];
  spans: readonly Span[];
  facts: readonly Fact[];
  learned?: readonly LearnedValue[];
  spots?: readonly Spot[];
  marks?: readonly Mark[];
  toldSpans?: readonly ToldSpan[];
  notes?: readonly Note[];
  movedFacts?: readonly MovedFact[];
  counted?: readonly CountedDelta[];
  bridges?: readonly BridgedBlock[];
  evidence?: readonly Evidence[];
  trials?: readonly KeptTrial[];
}

export interface RecordWriter {
  /**
   * One transaction at FULL durability. Readings of a station come in order, none before its last recorded one; day
   * totals only together with readings of their station. What a station brings whose readings are all recorded already
   * changes nothing. Throws WattkeepError DISK_FULL, DISK_READ_ONLY or RECORD_DAMAGED: offer the same readings again,
   * alone or with newer ones behind them; INTERNAL where the batch breaks these rules. Nothing of it is kept then.
   *
   * @param atLast the last before closing: it may use the room that is kept free for a clean stop
   */
  commit(batch: Batch, atLast?: boolean): void;
}
