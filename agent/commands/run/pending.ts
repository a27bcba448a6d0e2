/**
 * What was read and not yet saved: one batch for all stations. Nothing leaves it until a commit has returned, so that a
 * disk that is full for a while costs nothing; past a ceiling it is let go as a whole, and that time becomes a gap.
 */
import type { InputSource, Reading } from '#kit';
import type {
  Batch,
  BridgedBlock,
  CountedDelta,
  Cursor,
  DayDelta,
  Evidence,
  Fact,
  KeptTrial,
  LearnedValue,
  Mark,
  MovedFact,
  Note,
  Outage,
  Span,
  Spot,
  ToldSpan,
} from '#messages';
import { addCounted } from '../../derive/counted.ts';
import type { Followed } from '../../derive/follow.ts';

/** Readings held while the disk takes none: a quarter of an hour of ten stations at 1 Hz. */
export const MOST_READINGS = 9_000;

/** Words that are answered only once they are saved. */
export type SaidByOwner = Partial<
  Pick<Batch, 'marks' | 'spots' | 'facts' | 'notes' | 'toldSpans' | 'movedFacts' | 'evidence' | 'trials'>
>;

export interface Pending {
  reading(reading: Reading, cursor: Cursor): void;
  /** What one reading adds to one of a station's days. */
  day(station: string, part: Omit<DayDelta, 'station'>): void;
  counted(delta: CountedDelta): void;
  bridge(block: BridgedBlock): void;
  outage(outage: Outage): void;
  span(span: Span): void;
  fact(fact: Fact): void;
  /** The newest of a station counts. */
  learned(learned: LearnedValue): void;
  /** The newest word on each counts. */
  say(said: SaidByOwner): void;
  /** What the owner just said is taken out again, where it could not be saved and the owner was told so. */
  unsay(said: SaidByOwner): void;
  readonly size: number;
  /** Everything held, or null where nothing is. It stays held until `saved`. */
  batch(): Batch | null;
  saved(): void;
}

export function createPending(): Pending {
  let readings: Reading[] = [];
  let spans: Span[] = [];
  let facts: Fact[] = [];
  let bridges: BridgedBlock[] = [];
  const days = new Map<string, DayDelta>();
  /** Those of `days` that no batch holds: only they may change. */
  const own = new Set<DayDelta>();
  const counted = new Map<string, CountedDelta>();
  const cursors = new Map<string, Cursor>();
  const outages = new Map<string, Outage>();
  const learned = new Map<string, LearnedValue>();
  const marks = new Map<string, Mark>();
  const spots = new Map<string, Spot>();
  const notes = new Map<string, Note>();
  const toldSpans = new Map<string, ToldSpan>();
  const evidence = new Map<string, Evidence>();
  const trials = new Map<string, KeptTrial>();
  let movedFacts: MovedFact[] = [];
  const keyOf = ({ station, id }: Mark | Spot | Note) => `${station} ${id}`;
  const spanKey = ({ station, reason, fromMs }: Span) => `${station} ${reason} ${fromMs}`;
  const evidenceKey = ({ station, why, fromMs }: Evidence) => `${station} ${fromMs} ${why}`;
  const held = [outages, learned, marks, spots, notes, toldSpans, evidence, trials];
  const others = () => held.reduce((sum, { size }) => sum + size, 0) + facts.length + spans.length + movedFacts.length;

  return {
    reading(reading, cursor) {
      readings.push(reading);
      cursors.set(reading.station, cursor);
    },
    day(station, part) {
      const key = `${station} ${part.date} ${part.zone}`;
      const before = days.get(key);
      if (before !== undefined && own.has(before)) return void addInto(before, part);
      const sum = before === undefined ? { ...part, station } : addDays(before, part);
      own.add(sum);
      days.set(key, sum);
    },
    counted(delta) {
      const key = `${delta.station} ${delta.date} ${delta.zone} ${delta.quantity}`;
      const before = counted.get(key);
      counted.set(key, before === undefined ? delta : addCounted(before, delta));
    },
    bridge: block => void bridges.push(block),
    outage: outage => void outages.set(`${outage.station} ${outage.startedAt}`, outage),
    span: span => void spans.push(span),
    fact: fact => void facts.push(fact),
    learned: value => void learned.set(value.station, value),
    say(said) {
      for (const mark of said.marks ?? []) marks.set(keyOf(mark), mark);
      for (const spot of said.spots ?? []) spots.set(keyOf(spot), spot);
      for (const note of said.notes ?? []) notes.set(keyOf(note), note);
      for (const span of said.toldSpans ?? []) toldSpans.set(spanKey(span), span);
      for (const one of said.evidence ?? []) evidence.set(evidenceKey(one), one);
      for (const trial of said.trials ?? []) trials.set(trial.id, trial);
      facts.push(...(said.facts ?? []));
      movedFacts.push(...(said.movedFacts ?? []));
    },
    unsay(said) {
      for (const mark of said.marks ?? []) marks.delete(keyOf(mark));
      for (const spot of said.spots ?? []) spots.delete(keyOf(spot));
      for (const note of said.notes ?? []) notes.delete(keyOf(note));
      for (const span of said.toldSpans ?? []) toldSpans.delete(spanKey(span));
      for (const one of said.evidence ?? []) evidence.delete(evidenceKey(one));
      for (const trial of said.trials ?? []) trials.delete(trial.id);
      facts = facts.filter(fact => said.facts?.includes(fact) !== true);
      movedFacts = movedFacts.filter(fact => said.movedFacts?.includes(fact) !== true);
    },
    get size() {
      return readings.length;
    },
    batch() {
      if (readings.length + others() === 0) return null;
      own.clear();
      const values = <T>(map: Map<string, T>) => [...map.values()];
      // Copies: the record holds on to a batch that failed and asks later whether its last reading was saved.
      return {
        readings: [...readings],
        days: values(days),
        counted: values(counted),
        bridges: [...bridges],
        cursors: values(cursors),
        outages: values(outages),
        spans: [...spans],
        facts: [...facts],
        learned: values(learned),
        marks: values(marks),
        spots: values(spots),
        notes: values(notes),
        toldSpans: values(toldSpans),
        movedFacts: [...movedFacts],
        evidence: values(evidence),
        trials: values(trials),
      };
    },
    saved() {
      readings = [];
      spans = [];
      facts = [];
      movedFacts = [];
      bridges = [];
      days.clear();
      own.clear();
      counted.clear();
      cursors.clear();
      for (const map of held) map.clear();
    },
  };
}

/**
 * Puts everything that follows from one reading into `pending`.
 *
 * @param inputSource the owner's standing answer
 */
export function enter(pending: Pending, followed: Followed, inputSource: InputSource): void {
  const { reading, days, gap, outage, counted, bridges } = followed;
  const { station, session, seq, at } = reading;
  pending.reading(reading, { station, session, seq, at, inputSource });
  for (const day of days) pending.day(station, day);
  for (const delta of counted) pending.counted({ ...delta, station });
  for (const block of bridges) pending.bridge({ station, ...block });
  if (gap !== null) pending.span({ station, note: '', ...gap });
  if (outage !== null) pending.outage(outage);
}

const least = (a: number | null, b: number | null) => (a === null ? b : b === null ? a : Math.min(a, b));
const most = (a: number | null, b: number | null) => (a === null ? b : b === null ? a : Math.max(a, b));

/** Adds a part of the same day to one that nobody else holds. @returns it */
function addInto<D extends Omit<DayDelta, 'station'>>(day: D, part: Omit<DayDelta, 'station'>): D {
  day.solarMilliJ += part.solarMilliJ;
  day.inputMilliJ += part.inputMilliJ;
  day.outputMilliJ += part.outputMilliJ;
  day.coveredMs += part.coveredMs;
  day.gapMs += part.gapMs;
  day.solarPeakW = Math.max(day.solarPeakW, part.solarPeakW);
  day.stateOfChargeMinPct = least(day.stateOfChargeMinPct, part.stateOfChargeMinPct);
  day.stateOfChargeMaxPct = most(day.stateOfChargeMaxPct, part.stateOfChargeMaxPct);
  return day;
}

/** The sum of two parts of the same day. */
export const addDays = <D extends Omit<DayDelta, 'station'>>(a: D, b: Omit<DayDelta, 'station'>): D =>
  addInto({ ...a }, b);
