/**
 * Rows of a recording of any length into a station's past, one after the other: those before the record or in a gap of it
 * in stretches of bounded size, those after its end as live ones come. A dry run goes the same way and saves nothing, so
 * that it can tell what would change.
 */
import type { Batch, DayDelta, KeptReading } from '#messages';
import type { StationFacts } from '../derive/facts.ts';
import type { OpenedRecord } from '../store/open.ts';
import { type Hole, placeRows } from './older-rows.ts';
import { addDays } from './run/pending.ts';
import { takeOlder } from './take-older.ts';
import { createTaker, type RecordingTaker } from './take-recording.ts';

/** Half a day at a reading a second. */
const ROWS_AT_ONCE = 50_000;
/** An outage is kept whole, up to so many times as many. */
const LONGEST_OUTAGE = 4;

/** What was learned of the rows before. Instants UTC epoch ms. */
export interface RowsAhead {
  readonly station: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly facts: StationFacts;
  readonly nowMs: number;
  readonly write: boolean;
  /** Rows of one gap that are added at once. */
  readonly atOnce?: number;
}

export interface RowsTaken {
  /** Before the record, or in a gap of it. */
  older: number;
  newer: number;
  /** Left out: they lie where readings are recorded, or later than now. */
  recorded: number;
  ahead: number;
  /** Of what was taken. */
  fromMs: number | null;
  toMs: number | null;
  /** What days gain and lose, oldest first. */
  days: DayDelta[];
}

export interface RowsTaker {
  add(reading: KeptReading): void;
  /** Readings that are saved by now. */
  saved(): number;
  end(): RowsTaken;
}

export function createRowsTaker(record: OpenedRecord, rows: RowsAhead): RowsTaker {
  const { station, facts, nowMs, atOnce = ROWS_AT_ONCE } = rows;
  const gained = new Map<string, DayDelta>();
  const gain = (day: DayDelta) => {
    const key = `${day.date} ${day.zone}`;
    const before = gained.get(key);
    gained.set(key, before === undefined ? day : addDays(before, day));
  };
  let saved = 0;
  const into = watched(record, rows.write, ({ readings, days }) => {
    if (rows.write) saved += readings.length;
    days.forEach(gain);
  });
  const placeOf = placeRows(record, station, { ...rows, intervalMs: facts.intervalMs });
  const taken: RowsTaken = { older: 0, newer: 0, recorded: 0, ahead: 0, fromMs: null, toMs: null, days: [] };
  let newer: RecordingTaker | null = null;
  let hole: Hole | null = null;
  /** Of `hole`, the rows that are not added yet. */
  let waiting: KeptReading[] = [];
  let joins: KeptReading | null = null;

  const addWaiting = () => {
    const last = waiting.at(-1);
    if (hole === null || last === undefined) return;
    const intervalMs = last.meanOverMs ?? facts.intervalMs;
    const part = { fromMs: joins?.at ?? hole.fromMs, toMs: hole.toMs, readings: waiting };
    takeOlder(joins === null ? part : { ...part, joins }, { ...facts, intervalMs }, into);
    waiting = [];
    joins = last;
  };
  const addOlder = (place: Hole, reading: KeptReading) => {
    if (place !== hole) {
      addWaiting();
      [hole, joins] = [place, null];
    } else if (isNewStretch(waiting, reading, atOnce)) addWaiting();
    waiting.push(reading);
    taken.older++;
  };

  return {
    add(reading) {
      const place = reading.at > nowMs ? 'ahead' : placeOf(reading.at);
      if (place === 'ahead' || place === 'recorded') {
        taken[place]++;
        return;
      }
      taken.fromMs ??= reading.at;
      taken.toMs = reading.at;
      if (place !== 'newer') return addOlder(place, reading);
      addWaiting();
      newer ??= createTaker(facts, into, record.latest(station)?.at ?? null);
      newer.add(reading);
      taken.newer++;
    },
    saved: () => saved,
    end() {
      addWaiting();
      newer?.end();
      return { ...taken, days: [...gained.values()].sort((a, b) => a.startMs - b.startMs) };
    },
  };
}

/** Enough are there, or what comes now comes at another distance. */
function isNewStretch(waiting: readonly KeptReading[], reading: KeptReading, atOnce: number): boolean {
  const last = waiting.at(-1);
  if (last === undefined) return false;
  if (last.meanOverMs !== reading.meanOverMs) return true;
  return waiting.length >= (last.states.onMains === false ? LONGEST_OUTAGE * atOnce : atOnce);
}

/** The record, telling what was taken; it takes nothing where nothing is to be written. */
function watched(
  record: OpenedRecord,
  write: boolean,
  tell: (taken: Pick<Batch, 'readings' | 'days'>) => void,
): OpenedRecord {
  const own: Pick<OpenedRecord, 'commit' | 'insertOlder'> = {
    commit(batch, atLast) {
      if (write) record.commit(batch, atLast);
      tell(batch);
    },
    insertOlder(batch) {
      if (write) record.insertOlder(batch);
      tell(batch);
    },
  };
  return new Proxy(record, {
    get(target, name) {
      if (name === 'commit' || name === 'insertOlder') return own[name];
      const value: unknown = Reflect.get(target, name, target);
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
}
