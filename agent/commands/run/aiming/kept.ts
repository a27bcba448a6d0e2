/**
 * What the owner said of spots and marks at one station, as the record has it. Nothing is remembered beside it: what
 * could not be saved was not said. Instants UTC epoch ms.
 */
import { civilDate } from '#energy/civil-day';
import type { Measure } from '#energy/estimates/aiming/asked';
import type { Fact, Mark, RecordQueries, Spot } from '#messages';
import { STANDING, type Stay, standingJson, stayAt, staysOf } from '../../../derive/standing.ts';
import type { SaidByOwner } from '../pending.ts';

/** A walk ends by itself when its last mark is older than this. */
const WALK_ENDS_MS = 3 * 3_600_000;
const WALK = 'walk';
/** Raised when the shape of what a mark keeps changes: an older one is then shown no more. */
const SEEN_VERSION = 1;

/** Saves at once, all or nothing. Throws WattkeepError where the disk takes nothing. */
export type Keep = (said: SaidByOwner) => void;

export interface KeptAim {
  readonly station: string;
  /** Changes with every word of the owner's. */
  version(): number;
  /** Spots that were not removed. */
  spots(): readonly Spot[];
  /** Every spot there ever was. */
  everySpot(): readonly Spot[];
  facts(): readonly Fact[];
  /** Marks of the walk of this moment that were not taken back, in the order they were made. */
  walkMarks(nowMs: number): readonly Mark[];
  /** The stay an instant lies in. */
  stay(atMs: number): Stay | null;
  /** The next mark: not kept yet. */
  nextMark(measure: Measure, more: Pick<Mark, 'spot' | 'againOf' | 'note'>, nowMs: number): Mark;
  /** A new walk from now on: not kept yet. */
  newWalk(nowMs: number): Fact;
  /** The panels stand there from an instant on, whatever was said of later ones: not kept yet. */
  standing(spot: string | null, fromMs: number): Fact[];
  keep: Keep;
  /** Settings changed: dated facts are read again. */
  refresh(): void;
}

type Questions = Pick<RecordQueries, 'spots' | 'marks' | 'lastMark' | 'facts'>;

interface Known {
  spots: readonly Spot[];
  facts: readonly Fact[];
  stays: readonly Stay[];
  last: Mark | null;
  /** Of the last mark's walk or the one begun after it. */
  walk: number;
  marks: readonly Mark[];
}

function readKnown(record: Questions, station: string): Known {
  const facts = record.facts(station);
  const last = record.lastMark(station);
  const begun = facts.filter(fact => fact.key === WALK).map(fact => Number(fact.valueJson));
  const walk = Math.max(1, last?.walk ?? 1, ...begun);
  const marks = record.marks(station, walk).filter(mark => mark.takenBackAt === null);
  return { spots: record.spots(station), facts, stays: staysOf(facts), last, walk, marks };
}

/** What was measured for a mark; null where another version kept it. */
export function measureOf({ seenJson }: Mark): Measure | null {
  const { version, measure } = JSON.parse(seenJson) as { version: number; measure: Measure };
  return version === SEEN_VERSION ? measure : null;
}

/** A, B, … Z, AA. */
export function letterOf(index: number): string {
  const rest = Math.floor(index / 26);
  return `${rest === 0 ? '' : letterOf(rest - 1)}${String.fromCharCode(65 + (index % 26))}`;
}

/** @param zone IANA zone in force, where a day ends a walk */
export function openKept(station: string, record: Questions, zone: () => string, keep: Keep): KeptAim {
  let known: Known | null = null;
  let version = 0;
  const forget = (): void => {
    known = null;
    version++;
  };
  const now = (): Known => {
    known ??= readKnown(record, station);
    return known;
  };
  const isOver = ({ at }: Mark, nowMs: number): boolean =>
    nowMs - at > WALK_ENDS_MS || civilDate(at, zone()) !== civilDate(nowMs, zone());
  /** The walk of an instant and its marks. */
  const walkAt = (nowMs: number): Pick<Known, 'walk' | 'marks'> => {
    const { walk, marks, last } = now();
    return last !== null && last.walk === walk && isOver(last, nowMs) ? { walk: walk + 1, marks: [] } : { walk, marks };
  };

  return {
    station,
    version: () => version,
    spots: () => now().spots.filter(spot => spot.removedAt === null),
    everySpot: () => now().spots,
    facts: () => now().facts,
    walkMarks: nowMs => walkAt(nowMs).marks,
    stay: atMs => stayAt(now().stays, atMs),
    nextMark(measure, more, nowMs) {
      const { walk, marks } = walkAt(nowMs);
      return {
        station,
        id: (now().last?.id ?? 0) + 1,
        walk,
        letter: letterOf(marks.length),
        at: nowMs,
        movedAt: Math.round(measure.movedAtMs),
        meanW: measure.meanW,
        errorW: measure.errorW,
        seenJson: JSON.stringify({ version: SEEN_VERSION, measure }),
        takenBackAt: null,
        ...more,
      };
    },
    newWalk: nowMs => ({ station, key: WALK, valueJson: String(walkAt(nowMs).walk + 1), validFromMs: nowMs }),
    standing(spot, fromMs) {
      const from = Math.round(fromMs);
      const later = now().facts.filter(fact => fact.key === STANDING && fact.validFromMs > from);
      const fact = { station, key: STANDING, valueJson: standingJson(spot) };
      return [from, ...later.map(({ validFromMs }) => validFromMs)].map(at => ({ ...fact, validFromMs: at }));
    },
    keep(said) {
      keep(said);
      forget();
    },
    refresh: forget,
  };
}
