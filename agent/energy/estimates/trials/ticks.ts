/**
 * Moments at which the shown whole percent changed. However a station rounds, each is a boundary of the same kind: from
 * one to another the charge moved by exactly so many percent, as the station counts it. A moment is known to the distance
 * of the samples around it.
 */

export interface Tick {
  /** Middle between the sample before and the one that showed it. */
  readonly at: number;
  /** Distance of these two samples. */
  readonly widthMs: number;
  readonly from: number;
  readonly to: number;
}

/** Single ticks and jumps, in order. Fractions of a percent tick by the smallest step seen. */
export function ticksOf(at: Float64Array, pct: Float64Array, from: number, to: number): Tick[] {
  const ticks: Tick[] = [];
  let last = -1;
  for (let k = from; k <= to; k++) {
    if (Number.isNaN(pct[k]!)) continue;
    if (last >= 0 && pct[k] !== pct[last])
      ticks.push({ at: (at[last]! + at[k]!) / 2, widthMs: at[k]! - at[last]!, from: pct[last]!, to: pct[k]! });
    last = k;
  }
  return ticks;
}

/**
 * Of a fall (`-1`) or rise (`1`) the moments at which each percent was passed for good: a gauge that wavers on a boundary is
 * counted where it crosses it last.
 */
export function passed(ticks: readonly Tick[], direction: 1 | -1): Tick[] {
  const out: Tick[] = [];
  for (const tick of ticks) {
    const forward = Math.sign(tick.to - tick.from) === direction;
    const before = out.at(-1);
    if (forward) {
      out.push(tick);
    } else if (before !== undefined && before.to === tick.from) {
      // Back over the boundary it had just passed: the passing was not for good.
      out.pop();
    }
  }
  return out;
}
