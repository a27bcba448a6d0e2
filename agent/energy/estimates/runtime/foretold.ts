/**
 * What was foretold, kept until it comes true or not: at each percent tick when 5, 10, 20 and 40 percent will be gone,
 * and now and then when the floor is reached. Outcomes correct the ranges and make the public score.
 */
import {
  afterOutcome,
  BUCKETS,
  bucketOf,
  type RangeScale,
  repairedRange,
  type TimeRange,
  UNREPAIRED,
} from '../range-repair.ts';

const HOUR_MIN = 60;
const MINUTE_MS = 60_000;
/** Foretellings of neighbouring ticks say much the same: each counts a fifth of one of its own. */
const OVERLAP_PACE = 0.2;
/** Outcomes a correction must have seen before it is used. */
const ENOUGH = 8;
const SCORED = 40;
/** A rise of so many percent is a charge: what was foretold of a discharge is void. */
const CHARGED_PCT = 2;

interface Foretold {
  madeAt: number;
  fromPct: number;
  /** Shown state of charge that settles it. */
  targetPct: number;
  told: TimeRange;
  bucket: number;
}

/** What outlives a run of the agent. */
export interface ForetoldMemory {
  scales: RangeScale[];
  /** Newest last: did the range hold? */
  held: boolean[];
}

export const NOTHING_FORETOLD: ForetoldMemory = {
  scales: Array.from({ length: BUCKETS }, () => UNREPAIRED),
  held: [],
};

export function createForetold(memory: ForetoldMemory) {
  const scales = [...memory.scales];
  let held = [...memory.held];
  let open: Foretold[] = [];

  const settle = (f: Foretold, at: number) => {
    const truth = (at - f.madeAt) / MINUTE_MS;
    scales[f.bucket] = afterOutcome(scales[f.bucket]!, f.told, truth, OVERLAP_PACE);
    held = [...held, truth >= f.told.p10 && truth <= f.told.p90].slice(-SCORED);
  };

  return {
    /** Correction for a range whose middle lies `minutes` ahead. */
    repaired(range: TimeRange): TimeRange {
      if (!Number.isFinite(range.p50)) return range;
      const scale = scales[bucketOf(range.p50 / HOUR_MIN)]!;
      return scale.outcomes < ENOUGH ? range : repairedRange(range, scale);
    },
    /** @param told minutes ahead, corrected */
    foretell(madeAt: number, fromPct: number, targetPct: number, told: TimeRange): void {
      if (!Number.isFinite(told.p50) || open.some(f => f.madeAt === madeAt && f.targetPct === targetPct)) return;
      open.push({ madeAt, fromPct, targetPct, told, bucket: bucketOf(told.p50 / HOUR_MIN) });
    },
    /** A reading's shown state of charge: settles what it reaches. */
    see(at: number, shownPct: number): void {
      if (open.length === 0) return;
      for (const f of open) if (shownPct <= f.targetPct) settle(f, at);
      open = open.filter(f => shownPct > f.targetPct && shownPct < f.fromPct + CHARGED_PCT);
    },
    /** Nothing was seen for a while, or the gauge was corrected: what is open can no longer be judged. */
    drop(): void {
      open = [];
    },
    score: () => ({ held: held.filter(Boolean).length, of: held.length }),
    memory: (): ForetoldMemory => ({ scales: [...scales], held: [...held] }),
  };
}
