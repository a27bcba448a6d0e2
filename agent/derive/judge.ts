/**
 * The owner's own past lived through again: what would have been said on the way, and how much of it came true, beside
 * what the watts of the moment would have said. Nothing is told from more than the rows before it. A floor is seldom
 * reached, so ranges for so many percent to go are judged too. Instants epoch ms, times ahead in minutes.
 */
import { createRuntimeEngine, type RuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import { medianOf } from '#energy/estimates/scoring/median';
import { fillScore, scoreBy } from '#energy/estimates/scoring/outcome';
import { createPassages } from '#energy/estimates/scoring/passages';
import { absShareError } from '#energy/estimates/scoring/point-error';
import { holds } from '#energy/estimates/scoring/range-error';
import { createRecentPower } from '#energy/estimates/scoring/recent-power';
import { createReplay, type ReplayRow, type Told } from '#energy/estimates/scoring/replay';
import { createOpenRanges, type Outcome } from './open-ranges.ts';

const MINUTE_MS = 60_000;
const EVERY_MIN = 15;
/** Near the end often enough for the warning of half an hour. */
const NEAR_EVERY_MIN = 5;
const NEAR_MIN = 60;
/** Beyond this between two rows nothing is told in between. */
const GAP_MS = 15 * MINUTE_MS;
/** A range is asked for each of these in turn: a quarter of the work of asking for all. */
const GONE_PCT = [5, 10, 20, 40] as const;
/** Coarser than what is told live, and as likely. */
const ASKED = { paths: 150, steps: 1440 } as const;
/** Up to which each row of the result looks ahead; the last one beyond all. */
const HORIZONS_MIN = [60, 180, 480, Number.POSITIVE_INFINITY] as const;
const SEED = 1;

export interface Judgement {
  of: number;
  held: number;
  medianErrorPct: number | null;
  /** By what is left over the watts of the moment; null without a label. */
  plainErrorPct: number | null;
}

export interface Judged {
  /** First and last instant of what was lived through; null where nothing was. */
  fromAt: number | null;
  toAt: number | null;
  /** Ranges for 5, 10, 20 and 40 percent to go. */
  ranges: Judgement;
  /** By how far ahead the middle lay, `upToMin` included; null: beyond all others. */
  byHorizon: (Judgement & { upToMin: number | null })[];
  /** Discharges that ended at the floor, scored as a recording is; null where none did. */
  floor: {
    discharges: number;
    points: number;
    coverage: number | null;
    medianErrorPct: number | null;
    plainErrorPct: number | null;
    warnings: number;
    warnedInTime: number | null;
  } | null;
  /** Charges that ended full; null where none did. */
  full: { charges: number; coverage: number | null; medianErrorPct: number | null } | null;
}

export interface Judging {
  /** Rows in order of time. */
  add(row: ReplayRow): void;
  result(): Judged;
}

/** @param facts as they are now: what the owner told later counts for all of it */
export function createJudging(facts: RuntimeFacts): Judging {
  const engine = createRuntimeEngine(facts.ratedWh);
  const replay = createReplay(engine, facts, SEED);
  const passages = createPassages(facts.floorPct, facts.ceilingPct);
  const recent = createRecentPower();
  const open = createOpenRanges();
  const told: Told[] = [];
  let last: ReplayRow | null = null;
  let shownPct: number | null = null;
  let firstAt: number | null = null;
  let nextAt = Number.POSITIVE_INFINITY;
  let turn = 0;

  function tell(at: number): void {
    nextAt = at + EVERY_MIN * MINUTE_MS;
    // On the wall and full nothing is promised that could come true.
    if (last?.held === true && (shownPct ?? 0) >= facts.ceilingPct - 0.5) return;
    const said = replay.tell(at);
    told.push(tellsFull(said) ? said : { ...said, full: null });
    if ((said.empty?.p10 ?? Number.POSITIVE_INFINITY) < NEAR_MIN) nextAt = at + NEAR_EVERY_MIN * MINUTE_MS;
    if (said.empty === null || last?.held === true || shownPct === null) return;
    const gonePct = GONE_PCT[turn++ % GONE_PCT.length]!;
    const targetPct = shownPct - gonePct;
    if (targetPct < 1) return;
    const range = rangeTo(engine, facts, targetPct, at);
    if (range === null) return;
    const leftWh = facts.ratedWh === null ? null : (gonePct / 100) * facts.ratedWh;
    open.add({ at, fromPct: shownPct, targetPct, range, plainMin: recent.guesses(at, leftWh).naive });
  }

  return {
    add(row) {
      firstAt ??= row.at;
      if (last !== null && row.at - last.at > GAP_MS) {
        open.drop();
        nextAt = row.at + EVERY_MIN * MINUTE_MS;
      }
      while (nextAt <= row.at) tell(nextAt);
      open.see(row);
      passages.add(row);
      recent.add(row.at, row.outputW, row.inputW);
      replay.add(row);
      last = row;
      shownPct = row.stateOfChargePct ?? shownPct;
      if (shownPct !== null && nextAt === Number.POSITIVE_INFINITY) nextAt = row.at + EVERY_MIN * MINUTE_MS;
    },
    result() {
      const outcomes = open.outcomes();
      return {
        fromAt: firstAt,
        toAt: last?.at ?? null,
        ranges: judge(outcomes),
        byHorizon: HORIZONS_MIN.map((upToMin, i) => ({
          upToMin: Number.isFinite(upToMin) ? upToMin : null,
          ...judge(outcomes.filter(o => o.range.p50 <= upToMin && o.range.p50 > (HORIZONS_MIN[i - 1] ?? -1))),
        })),
        floor: floorOf(told, passages.discharges()),
        full: fullOf(told, passages.charges()),
      };
    },
  };
}

/** Full is told only where it is likelier to come than the floor. */
const tellsFull = ({ full, empty }: Told): boolean =>
  full !== null && Number.isFinite(full.p50) && full.p50 < (empty?.p50 ?? Number.POSITIVE_INFINITY);

/** When so much is left, as it would have been told; null where no end was. */
function rangeTo(engine: RuntimeEngine, facts: RuntimeFacts, floorPct: number, at: number) {
  const { floor } = engine.project(at, { ...facts, floorPct }, { seed: SEED, suppose: ASKED });
  return floor === null || !Number.isFinite(floor.p50) ? null : floor;
}

function judge(outcomes: readonly Outcome[]): Judgement {
  const errors = (minutes: (o: Outcome) => number | null) =>
    outcomes.flatMap(o => {
      const said = minutes(o);
      return said === null ? [] : [100 * absShareError(said, o.trueMin)];
    });
  return {
    of: outcomes.length,
    held: outcomes.filter(o => holds(o.range, o.trueMin)).length,
    medianErrorPct: medianOf(errors(o => o.range.p50)),
    plainErrorPct: medianOf(errors(o => o.plainMin)),
  };
}

function floorOf(told: readonly Told[], discharges: Parameters<typeof scoreBy>[2]): Judged['floor'] {
  const score = scoreBy('projection', told, discharges);
  if (score.points === 0) return null;
  return {
    discharges: score.runs,
    points: score.points,
    coverage: score.coverage80,
    medianErrorPct: score.medianAbsPctErrorOverall,
    plainErrorPct: scoreBy('naive', told, discharges).medianAbsPctErrorOverall,
    warnings: score.warning30.of,
    warnedInTime: score.warning30.onTime,
  };
}

function fullOf(told: readonly Told[], charges: Parameters<typeof fillScore>[1]): Judged['full'] {
  const score = fillScore(told, charges);
  return score.points === 0
    ? null
    : { charges: score.runs, coverage: score.coverage80, medianErrorPct: score.medianAbsPctErrorOverall };
}
