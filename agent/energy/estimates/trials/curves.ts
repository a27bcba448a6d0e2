/**
 * Curves of a result, thinned to what a chart can show: means of equal parts. Watts of a station are drawn with a band:
 * its last digit, and how far its own watts may be off. Percents are the gauge's word, of which nobody knows how far it is
 * off; they are drawn without.
 */
import type { TrialCurve, TrialPoint } from './asked.ts';
import { halfWidth95 } from './coverage.ts';
import { ownGain } from './own-watts.ts';
import { digitOf, HOUR_MS, meanOf, scatterOf, valuesOf } from './samples.ts';
import { roundedTerms } from './terms.ts';

const PARTS = 240;
/** Levels at which the width of a band is found; straight in between. */
const LEVELS = 8;

/** Half the width of the range at so many of a station's own watts, W. @param values of the column, for its digit */
export function bandOfWatts(values: Float64Array, ownWattsLimitPct: number): (watts: number) => number {
  const digits = roundedTerms('rounding', digitOf(values), 1, scatterOf(values));
  let most = 1;
  for (const w of values) most = Math.max(most, w);
  const each = most / LEVELS;
  const widths = Array.from({ length: LEVELS + 1 }, (_, k) =>
    halfWidth95([ownGain(k * each, ownWattsLimitPct, '', 'out'), ...digits]),
  );
  return watts => {
    const place = Math.min(Math.max(0, watts / each), LEVELS);
    const k = Math.min(LEVELS - 1, Math.floor(place));
    return widths[k]! + (widths[k + 1]! - widths[k]!) * (place - k);
  };
}

/** A point with its band; nothing that comes in or goes out is less than nothing. */
export const banded = (x: number, y: number, half: number): TrialPoint => ({
  x,
  y,
  low95: half === 0 ? y : Math.max(0, y - half),
  high95: y + half,
});

/** A column over hours since the first sample. @param halfAt half the width of the band; without, it is a line */
export function hourCurve(
  of: TrialCurve['of'],
  at: Float64Array,
  column: Float64Array,
  from: number,
  to: number,
  halfAt: (y: number) => number = () => 0,
): TrialCurve {
  const points: TrialPoint[] = [];
  const each = Math.max(1, Math.ceil((to - from + 1) / PARTS));
  for (let k = from; k <= to; k += each) {
    const end = Math.min(to, k + each - 1);
    const values = valuesOf(column, k, end);
    if (values.length === 0) continue;
    const y = meanOf(values);
    points.push(banded(((at[k]! + at[end]!) / 2 - at[from]!) / HOUR_MS, y, halfAt(y)));
  }
  return { of, as: 'line', points };
}
