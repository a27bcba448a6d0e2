/** Where a key leads along the places of a drawing, as along a slider; the same keys in every drawing. */

/** Places that a page key goes by. */
const PAGE = 10;

/**
 * @param from the place one is at, of 0 to `last`
 * @returns the place to go to; null where the key means nothing here
 */
export function placeAfter(key: string, from: number, last: number): number | null {
  const moves: Record<string, number> = {
    ArrowLeft: from - 1,
    ArrowDown: from - 1,
    ArrowRight: from + 1,
    ArrowUp: from + 1,
    PageUp: from + PAGE,
    PageDown: from - PAGE,
    Home: 0,
    End: last,
  };
  const to = moves[key];
  return to === undefined ? null : Math.max(0, Math.min(last, to));
}
