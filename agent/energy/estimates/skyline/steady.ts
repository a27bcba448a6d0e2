/**
 * Which minutes of a day are steady: power goes with the clear sky's course instead of fluttering as it does under
 * moving clouds. After the idea of M. J. Reno and C. W. Hansen, Identification of periods of clear sky irradiance in
 * time series of GHI measurements, Renewable Energy 90 (2016) 520-531 (from memory): in a moving window the measured
 * slopes are held against the clear sky's. Windows and bounds are our own, made for watts: a shaded panel is steady too,
 * and a single step (an edge of shade, a string coming back) does not make a window unsteady.
 */
import { DAY_MINUTES } from './solar-day.ts';

/** Minutes to each side. */
const REACH = 7;
const AT_LEAST = 8;
/** Change a minute, against the clear sky's own, that three in four must keep below; and watts that are an instrument's. */
const STEP_SHARE = 0.012;
const STEP_W = 0.5;

const middleOf = (a: number, b: number, c: number): number => Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));

/** A lone minute in which the station searched its working point is not what the sky did. */
function withoutLoneMinutes(powerW: Float64Array, first: number, last: number): Float64Array {
  const out = powerW.slice();
  for (let k = first + 1; k < last; k++) {
    const [a, b, c] = [powerW[k - 1]!, powerW[k]!, powerW[k + 1]!];
    if (!Number.isNaN(a) && !Number.isNaN(b) && !Number.isNaN(c)) out[k] = middleOf(a, b, c);
  }
  return out;
}

/**
 * 1 for each steady minute.
 *
 * @param powerW watts a minute, NaN where missing
 * @param clear the clear sky's course on the panels, in any unit
 */
export function steadyMinutes(
  powerW: Float64Array,
  clear: Float64Array,
  { first, last }: { first: number; last: number },
): Uint8Array {
  const steady = new Uint8Array(DAY_MINUTES);
  const smooth = withoutLoneMinutes(powerW, first, last);
  /** Whether the step into a minute is small: 1 yes, 0 no, 2 not known. */
  const small = new Uint8Array(DAY_MINUTES).fill(2);
  for (let k = Math.max(1, first + 1); k <= last; k++) {
    const [before, now] = [smooth[k - 1]!, smooth[k]!];
    if (Number.isNaN(before) || Number.isNaN(now) || clear[k]! <= 0 || clear[k - 1]! <= 0) continue;
    const stepW = Math.abs(now - (before * clear[k]!) / clear[k - 1]!);
    small[k] = stepW <= STEP_W + STEP_SHARE * Math.max(before, now) ? 1 : 0;
  }
  let known = 0;
  let kept = 0;
  const count = (k: number, by: number): void => {
    if (k < 0 || k >= DAY_MINUTES || small[k] === 2) return;
    known += by;
    if (small[k] === 1) kept += by;
  };
  for (let k = first - REACH; k < first + REACH; k++) count(k, 1);
  for (let k = first; k <= last; k++) {
    count(k + REACH, 1);
    count(k - REACH - 1, -1);
    if (known >= AT_LEAST && kept >= 0.75 * known && !Number.isNaN(powerW[k]!)) steady[k] = 1;
  }
  return steady;
}
