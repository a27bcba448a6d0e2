/** Curves of a result, thinned to what a chart can show: means of equal parts. */
import type { TrialCurve, TrialPoint } from './asked.ts';
import { HOUR_MS, meanOf, valuesOf } from './samples.ts';

const PARTS = 240;

/** A column over hours since the first sample. */
export function hourCurve(
  of: TrialCurve['of'],
  at: Float64Array,
  column: Float64Array,
  from: number,
  to: number,
): TrialCurve {
  const points: TrialPoint[] = [];
  const each = Math.max(1, Math.ceil((to - from + 1) / PARTS));
  for (let k = from; k <= to; k += each) {
    const end = Math.min(to, k + each - 1);
    const values = valuesOf(column, k, end);
    if (values.length === 0) continue;
    const y = meanOf(values);
    points.push({ x: ((at[k]! + at[end]!) / 2 - at[from]!) / HOUR_MS, y, low95: y, high95: y });
  }
  return { of, as: 'line', points };
}
