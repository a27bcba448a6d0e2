/** Words in a drawing and the room they take, reckoned on the wide side so that the real ones stay within it. Pure. */

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

export interface Label {
  text: string;
  /** Of the anchor; y is the middle of the line. */
  x: number;
  y: number;
  anchor: 'start' | 'middle' | 'end';
  strong?: true;
  /** Written on the port's dark ground. */
  onPort?: true;
}

/** Of words in a drawing, px. */
export const LABEL_PX = 14;
/** A letter of the heaviest weight is at most so wide on average, as a share of the size. */
const LETTER = 0.62;
const LINE = 1.3;

export const labelAt = (text: string, x: number, y: number, anchor: Label['anchor'] = 'start'): Label => ({
  text,
  x,
  y,
  anchor,
});

export function boxAround({ text, x, y, anchor }: Label): Box {
  const width = Math.max(1, text.length) * LABEL_PX * LETTER;
  const left = anchor === 'start' ? x : anchor === 'end' ? x - width : x - width / 2;
  return { x: left, y: y - (LABEL_PX * LINE) / 2, width, height: LABEL_PX * LINE };
}

export const overlap = (a: Box, b: Box): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
