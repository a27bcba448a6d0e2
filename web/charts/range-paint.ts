/**
 * The range on its line: the promised end solid, the middle open, each with its moment in words. Words about what lies
 * ahead never reach across the line of now, nor into each other.
 */
import type { Ink, TextStyle } from './ink.ts';
import type { Places } from './now-paint.ts';
import type { NowPicture } from './now-picture.ts';
import type { Palette } from './palette.ts';

/** Words that were set: their span and their base line, CSS px. */
export interface WordBox {
  left: number;
  right: number;
  y: number;
}

const LINE_PX = 16;
const APART_PX = 4;

export const overlaps = (a: WordBox, b: WordBox): boolean =>
  Math.abs(a.y - b.y) < LINE_PX && a.left < b.right + APART_PX && a.right > b.left - APART_PX;

/**
 * @param now x of the line of now
 * @returns where words stand now
 */
export function paintRange(ink: Ink, picture: NowPicture, palette: Palette, at: Places, now: number): WordBox[] {
  const { range } = picture;
  if (range === null) return [];
  const y = at.level(range.percent);
  const [low, high] = [at.x(range.lowAt), Math.min(at.right, at.x(range.highAt))];
  if (low < at.right) ink.box(low, y - 3.5, high - low, 7, palette.range);
  const promised = at.x(range.promised.at);
  const middle = range.middle === null ? null : at.x(range.middle.at);
  if (middle !== null && middle <= at.right) {
    ink.dot(middle, y, 5, palette.paper, { colour: palette.stored, width: 3 });
  }
  if (promised <= at.right) ink.dot(promised, y, 7, palette.stored);

  const boxes: WordBox[] = [];
  const set = (words: string, x: number, base: number, style: TextStyle) => {
    if (x > at.right + 12) return;
    const width = ink.measure(words, style);
    const wished = style.align === 'center' ? x - width / 2 : style.align === 'right' ? x - width : x;
    const left = Math.min(Math.max(wished, now + 6), at.right - width);
    const box = { left, right: left + width, y: base };
    while (boxes.some(other => overlaps(other, box))) box.y += LINE_PX;
    boxes.push(box);
    ink.text(words, left, box.y, { ...style, align: 'left' });
  };
  const strong = { colour: palette.ink, strong: true } as const;
  const plain = { colour: palette.ink } as const;
  if (range.promised.at <= range.lowAt) {
    set(range.promised.label, promised + 2, y + 22, { ...strong, align: 'center' });
    if (middle !== null) set(range.middle!.label, middle + 6, y - 11, plain);
  } else {
    // Toward full both stand under the line, each on its own side, or one under the other.
    set(range.promised.label, promised - 4, y + 22, strong);
    if (middle !== null) set(range.middle!.label, middle + 2, y + 22, { ...plain, align: 'right' });
  }
  return boxes;
}
