/**
 * Ranges told for a state of charge to come, kept until it is shown. What is fed or charged meanwhile makes them void:
 * they were told of a discharge. Instants epoch ms, times ahead in minutes.
 */
import type { TimeRange } from '#energy/estimates/range-repair';

const MINUTE_MS = 60_000;
/** A rise of so many percent is a charge. */
const CHARGED_PCT = 2;

export interface OpenRange {
  at: number;
  fromPct: number;
  /** Shown state of charge that settles it. */
  targetPct: number;
  range: TimeRange;
  /** What the watts of the moment said; null without a label. */
  plainMin: number | null;
}

export interface Outcome extends OpenRange {
  trueMin: number;
}

export function createOpenRanges() {
  let open: OpenRange[] = [];
  const settled: Outcome[] = [];
  return {
    add: (range: OpenRange): void => void open.push(range),
    see({ at, stateOfChargePct: pct, held }: { at: number; stateOfChargePct: number | null; held: boolean }): void {
      if (held) open = [];
      if (pct === null || open.length === 0) return;
      for (const range of open)
        if (pct <= range.targetPct) settled.push({ ...range, trueMin: (at - range.at) / MINUTE_MS });
      open = open.filter(range => pct > range.targetPct && pct < range.fromPct + CHARGED_PCT);
    },
    /** Nobody knows what happened meanwhile. */
    drop(): void {
      open = [];
    },
    outcomes: (): readonly Outcome[] => settled,
  };
}
