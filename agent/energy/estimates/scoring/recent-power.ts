/**
 * The plain ways to say how long it lasts: what is in it above the floor, over the watts of the moment or their mean of
 * the last 5, 15 or 60 minutes. They are what a projection must beat. W, Wh, minutes.
 */
import type { TimeRange } from '../range-repair.ts';

const MINUTE_MS = 60_000;
const KEPT_MS = 60 * MINUTE_MS;
/** Displays end at 99 hours (common practice, no source): so much is said while nothing is drawn. */
const MOST_MIN = 99 * 60;

/** Minutes until the floor by each way; null where a number for it is missing. */
export interface PlainGuesses {
  naive: number | null;
  mean5: number | null;
  mean15: number | null;
  mean60: number | null;
  /** 60 minutes and a flat loss of 15 %. */
  mean60Less: number | null;
  /** From the earliest to the latest of the three means. */
  hull: TimeRange | null;
}

const FLAT_LOSS = 0.85;

/** Remembers the last hour of net power drawn, output less input. */
export function createRecentPower() {
  let rows: { at: number; netW: number }[] = [];
  const meanW = (at: number, minutes: number) => {
    let sum = 0;
    let count = 0;
    for (let i = rows.length - 1; i >= 0 && rows[i]!.at >= at - minutes * MINUTE_MS; i--) {
      sum += rows[i]!.netW;
      count++;
    }
    return count === 0 ? null : sum / count;
  };
  return {
    /** In order of time; a row without an output is not known. */
    add(at: number, outputW: number | null, inputW: number | null): void {
      if (outputW === null) return;
      rows.push({ at, netW: outputW - (inputW ?? 0) });
      if (rows[0]!.at < at - 2 * KEPT_MS) rows = rows.filter(row => row.at >= at - KEPT_MS);
    },
    /** @param leftWh label energy between here and the floor; null without a label or a state of charge */
    guesses(at: number, leftWh: number | null): PlainGuesses {
      const minutes = (powerW: number | null | undefined) => {
        if (leftWh === null || powerW == null) return null;
        return powerW <= 0 ? MOST_MIN : Math.min(MOST_MIN, (leftWh / powerW) * 60);
      };
      const mean5 = minutes(meanW(at, 5));
      const mean15 = minutes(meanW(at, 15));
      const mean60 = minutes(meanW(at, 60));
      return {
        naive: minutes(rows.at(-1)?.netW),
        mean5,
        mean15,
        mean60,
        mean60Less: mean60 === null ? null : FLAT_LOSS * mean60,
        hull: hullOf(mean5, mean15, mean60),
      };
    },
  };
}

function hullOf(...means: (number | null)[]): TimeRange | null {
  const [p10, p50, p90] = means.filter(mean => mean !== null).sort((a, b) => a - b);
  return p90 === undefined ? null : { p10: p10!, p50: p50!, p90 };
}
