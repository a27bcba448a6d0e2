/** Words under the axis for single moments: each begins at its tick, in rows that no tick of another one crosses. Pure. */

/** Something that was so from a moment on; `at` in days from the first midnight of the axis. */
export interface Moment {
  at: number;
  text: string;
}

export interface PlacedMark {
  x: number;
  row: number;
  text: string;
  textX: number;
  anchor: 'start' | 'end';
  /** Tick at the carpet's edge, and from under the names of months down to the words. */
  path: string;
  y: number;
}

const MOST_ROWS = 4;
/** Width of words as set at 13 px in the page's typeface, rather too much than too little, CSS px. */
export const textPx = (text: string): number => text.length * 7.2;

/**
 * From the right to the left: what lies further left goes further down where it would run into the next one's tick. What
 * finds no room is left out; all of it stands in the list beside the drawing.
 */
export function placeMarks(
  moments: readonly Moment[],
  x: (day: number) => number,
  left: number,
  right: number,
  { top, names, first, rowPx }: { top: number; names: number; first: number; rowPx: number },
): PlacedMark[] {
  const placed: PlacedMark[] = [];
  /** Left end of what stands in each row so far. */
  const taken: number[] = [];
  for (const { at, text } of moments.toSorted((a, b) => b.at - a.at)) {
    const tick = Math.round(x(at)) + 0.5;
    const width = textPx(text) + 12;
    const anchor = tick + width > right && tick - width >= left ? 'end' : 'start';
    const textX = anchor === 'end' ? tick - 5 : Math.max(left, Math.min(tick + 5, right - width + 12));
    const to = anchor === 'end' ? tick : textX + width;
    const row = Array.from({ length: MOST_ROWS }, (_, i) => i).find(i => to <= (taken[i] ?? Number.POSITIVE_INFINITY));
    if (row === undefined) continue;
    // A tick that goes down through a row keeps its words off it.
    for (let i = 0; i <= row; i++)
      taken[i] = Math.min(taken[i] ?? Number.POSITIVE_INFINITY, tick - 4, i === row ? textX - 8 : tick);
    if (anchor === 'end') taken[row] = Math.min(taken[row]!, tick - width);
    const y = first + row * rowPx;
    placed.push({ x: tick, row, text, textX, anchor, path: `M${tick} ${top}v5M${tick} ${names}V${y}`, y });
  }
  return placed;
}
