/**
 * Which rows of a recording may join a record that is there already: those before its first reading, in its gaps, or
 * after its end. What lies within a recorded stretch is left out, so that a recording read twice counts once.
 */
import { gapLimitMs } from '#energy/integrate';
import type { Reading } from '#kit';
import type { OpenedRecord } from '../store/open.ts';

/** Rows in one gap of the record. */
export interface Hole {
  /** The recorded reading before them; null where they lie before the first. */
  fromMs: number | null;
  /** The recorded reading after them. */
  toMs: number;
  readings: Reading[];
  /** The row at `fromMs`, which was added just before and is not the end of a stretch: they go on from it. */
  joins?: Reading;
}

/** Where a row lies to what is recorded. A hole is the same object for all rows in it, and has no readings of its own. */
export type Place = 'recorded' | 'newer' | Hole;

interface Stretch {
  fromMs: number;
  toMs: number;
}

/** The middle distance of two instants, ms; 0 for fewer than two. */
function middleDistanceMs(at: Float64Array): number {
  const distances = Array.from(at.subarray(1), (one, i) => one - at[i]!);
  distances.sort((a, b) => a - b);
  return distances[Math.floor(distances.length / 2)] ?? 0;
}

/**
 * Stretches without a gap. A distance is one where it was, or would be, counted through: by the interval of the
 * recording or by that of the recorded readings around it, whichever allows more.
 */
function stretchesOf(blocks: Iterable<Float64Array>, intervalMs: number): Stretch[] {
  const stretches: Stretch[] = [];
  let limitMs = 0;
  for (const at of blocks) {
    const own = Math.max(gapLimitMs(intervalMs), gapLimitMs(middleDistanceMs(at)));
    for (const [i, instant] of at.entries()) {
      const last = stretches.at(-1);
      const allowed = i === 0 ? Math.max(own, limitMs) : own;
      if (last !== undefined && instant - last.toMs <= allowed) last.toMs = Math.max(last.toMs, instant);
      else stretches.push({ fromMs: instant, toMs: instant });
    }
    limitMs = own;
  }
  return stretches;
}

/**
 * @param fromMs instants of the first and the last row, which come in order of time
 * @param intervalMs of the recording
 */
export function placeRows(
  record: Pick<OpenedRecord, 'instants'>,
  station: string,
  { fromMs, toMs, intervalMs }: { fromMs: number; toMs: number; intervalMs: number },
): (at: number) => Place {
  const stretches = stretchesOf(record.instants(station, fromMs, toMs), intervalMs);
  let index = 0;
  let hole: Hole | null = null;
  return at => {
    while (index < stretches.length && stretches[index]!.toMs < at) {
      index++;
      hole = null;
    }
    const after = stretches[index];
    if (after === undefined) return 'newer';
    if (at >= after.fromMs) return 'recorded';
    hole ??= { fromMs: stretches[index - 1]?.toMs ?? null, toMs: after.fromMs, readings: [] };
    return hole;
  };
}
