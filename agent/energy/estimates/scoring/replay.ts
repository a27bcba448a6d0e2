/**
 * A recording lived through again: rows in order of time, and at even instants what would have been said then, from
 * nothing but the rows before. Readings and instants are arguments; the same rows always give the same answer.
 */

import type { TimeRange } from '../range-repair.ts';
import {
  type Doubt,
  type Outlook,
  quantileOf,
  type RuntimeEngine,
  type RuntimeFacts,
  type RuntimeSample,
  type RuntimeWhy,
} from '../runtime/engine.ts';
import { LEVELS } from './distribution-error.ts';
import type { PassageRow } from './passages.ts';
import { createRecentPower, type PlainGuesses } from './recent-power.ts';

/** Older than this, the last row says nothing of now. */
const STALE_MS = 15 * 60_000;

export interface ReplayRow extends RuntimeSample, PassageRow {
  /** The wall is there: what is asked is how long it lasted if that failed now. */
  onMains: boolean;
  /** The station's own time to empty, min; null where it says none. */
  statedMin: number | null;
}

/** What was said at one instant. Times in minutes ahead; Infinity past what was looked at. */
export interface Told {
  at: number;
  why: RuntimeWhy | 'gap';
  early: boolean;
  doubts: readonly Doubt[];
  empty: TimeRange | null;
  /** Of the courses, at `LEVELS`; uncorrected. */
  emptyQuantiles: readonly number[] | null;
  /** How far it looked, min. */
  horizonMin: number;
  full: TimeRange | null;
  /** The station's own word, carried from its empty to the floor by share of charge. */
  statedMin: number | null;
  plain: PlainGuesses;
}

export interface Replay {
  add(row: ReplayRow): void;
  /** What would be said at an instant, after the rows before it. */
  tell(at: number): Told;
}

/** @param engine takes the rows; may know the station already */
export function createReplay(engine: RuntimeEngine, facts: RuntimeFacts, seed: number): Replay {
  const recent = createRecentPower();
  let last: ReplayRow | null = null;
  let charged: number | null = null;
  let sunSeen = facts.panelsRatedW !== null;
  // Looking at the sky costs more than all else; where no panel is known and no sun was seen there is none to expect.
  const withoutSun: RuntimeFacts = { ...facts, clearWm2: null };

  return {
    add(row) {
      engine.add(row);
      recent.add(row.at, row.outputW, row.inputW);
      if ((row.solarW ?? 0) > 0) sunSeen = true;
      charged = row.stateOfChargePct ?? charged;
      last = row;
    },
    tell(at) {
      const above = charged === null ? null : Math.max(0, charged - facts.floorPct);
      const plain = recent.guesses(at, above === null || facts.ratedWh === null ? null : (above / 100) * facts.ratedWh);
      const stated = last?.statedMin ?? null;
      const statedMin = stated === null || above === null || charged === 0 ? null : (stated * above) / charged!;
      const told = { at, plain, statedMin };
      if (last !== null && at - last.at > STALE_MS) return { ...told, ...SILENT, why: 'gap' };
      const outlook = engine.project(at, sunSeen ? facts : withoutSun, {
        seed,
        withoutCharger: last?.onMains === true,
      });
      return { ...told, ...said(outlook) };
    },
  };
}

const SILENT = { early: true, doubts: [], empty: null, emptyQuantiles: null, horizonMin: 0, full: null };

function said(outlook: Outlook): Omit<Told, 'at' | 'plain' | 'statedMin'> {
  const { courses, why, early, doubts, floor, full } = outlook;
  if (courses === null) return { ...SILENT, why };
  return {
    why,
    early,
    doubts,
    empty: floor,
    emptyQuantiles: LEVELS.map(level => quantileOf(courses.floorMin, level)),
    horizonMin: courses.fan.length * outlook.fanStepMin,
    full: full !== null && Number.isFinite(full.p10) ? full : null,
  };
}
