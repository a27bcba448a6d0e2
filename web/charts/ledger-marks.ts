/**
 * Words under the axis for single moments: each begins at its tick, in rows that no tick of another one crosses. Where
 * they do not all find room, letters stand at the ticks and the words beneath the drawing, as footnotes. Pure.
 */

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

export interface LetteredMark {
  x: number;
  letter: string;
  text: string;
  path: string;
}

export interface Axis {
  left: number;
  right: number;
  x(day: number): number;
}

/** Heights of the carpet's edge, of the end of the names of months, of the first row of words, and between rows. */
export interface Rows {
  top: number;
  names: number;
  first: number;
  rowPx: number;
}

const MOST_ROWS = 3;
/** Width of words as set at 13 px in the page's typeface, rather too much than too little, CSS px. */
export const textPx = (text: string): number => text.length * 6.6;

interface Box {
  tick: number;
  row: number;
  from: number;
  to: number;
}

/** Null where not all of them find room. */
export function placeMarks(moments: readonly Moment[], { left, right, x }: Axis, rows: Rows): PlacedMark[] | null {
  const boxes: Box[] = [];
  const placed: PlacedMark[] = [];
  // From the right to the left: what lies further left goes further down where it would run into the next one's tick.
  for (const { at, text } of moments.toSorted((a, b) => b.at - a.at)) {
    const tick = tickAt(x(at), right);
    const found = choose(tick, textPx(text), left, right, boxes);
    if (found === null) return null;
    boxes.push(found.box);
    const { row } = found.box;
    const y = rows.first + row * rows.rowPx;
    const path = `M${tick} ${rows.top}v5M${tick} ${rows.names}V${y}`;
    placed.push({
      x: tick,
      row,
      text,
      textX: tick + (found.anchor === 'start' ? 5 : -5),
      anchor: found.anchor,
      path,
      y,
    });
  }
  return placed;
}

const tickAt = (x: number, right: number): number => Math.min(Math.round(x), Math.floor(right) - 1) + 0.5;

function choose(tick: number, width: number, left: number, right: number, boxes: readonly Box[]) {
  for (const anchor of ['start', 'end'] as const)
    for (let row = 0; row < MOST_ROWS; row++) {
      const [from, to] = anchor === 'start' ? [tick + 5, tick + 5 + width] : [tick - 5 - width, tick - 5];
      const box = { tick, row, from, to };
      if (from >= left - 4 && to <= right + 4 && boxes.every(other => areApart(box, other))) return { box, anchor };
    }
  return null;
}

/** Neither words upon words nor a tick through the words of the other. */
function areApart(a: Box, b: Box): boolean {
  const crosses = (ticked: Box, worded: Box) =>
    ticked.row >= worded.row && ticked.tick > worded.from - 4 && ticked.tick < worded.to + 4;
  const overlap = a.row === b.row && a.from < b.to + 10 && b.from < a.to + 10;
  return !overlap && !crosses(a, b) && !crosses(b, a);
}

const LETTER_PX = 11;

/** In the order of time; letters of one place move apart to the right. */
export function letterMarks(moments: readonly Moment[], { right, x }: Axis, { top }: Rows): LetteredMark[] {
  let taken = Number.NEGATIVE_INFINITY;
  return moments
    .toSorted((a, b) => a.at - b.at)
    .map(({ at, text }, i) => {
      const tick = tickAt(x(at), right);
      const letterX = Math.max(tick, taken + LETTER_PX);
      taken = letterX;
      return { x: letterX, letter: letterOf(i), text, path: `M${tick} ${top}v6` };
    });
}

/** a, b, …, z, aa, ab, … */
const letterOf = (i: number): string =>
  (i >= 26 ? letterOf(Math.floor(i / 26) - 1) : '') + String.fromCharCode(97 + (i % 26));
