/** The edge of a monotone answer, found by halving. */

/**
 * Greatest x in [low, high] for which `holds` is true, to within `toleranceOf(x)`; null where it does not even hold at
 * `low`. `holds` is true up to some x and false beyond.
 */
export function greatest(
  low: number,
  high: number,
  toleranceOf: (x: number) => number,
  holds: (x: number) => boolean,
): number | null {
  if (!holds(low)) return null;
  if (holds(high)) return high;
  let yes = low;
  let no = high;
  while (no - yes > toleranceOf(yes)) {
    const mid = (yes + no) / 2;
    if (holds(mid)) yes = mid;
    else no = mid;
  }
  return yes;
}
