/**
 * One quantity of a wiring as a ruler against the port's limits: the band the port takes, the mark of what is judged,
 * the limit as a hard stop. Pure, in CSS px; labels stay inside the width and apart from one another.
 */
import { type Box, boxAround, type Label, labelAt } from './wiring-label.ts';

export interface RulerPlan {
  name: string;
  /** Where the port begins, or null where it is not told or begins at 0. */
  low: number | null;
  limit: { at: number; words: string } | null;
  /** What is marked; from `from` where the quantity has a working range. `most` is what is judged, where it is more. */
  mark: { at: number; words: string; most: number | null };
  from: { at: number; words: string } | null;
}

export interface RulerLayout {
  width: number;
  height: number;
  /** The band that the port takes. */
  band: Box;
  /** From the working value to the mark, null where there is none. */
  range: Box | null;
  dot: { x: number; y: number; beyond: boolean };
  /** From the mark to the judged most. */
  most: { x1: number; x2: number; y: number } | null;
  stop: { x: number; y1: number; y2: number } | null;
  labels: Label[];
}

const BAND_PX = 14;
const ROW_PX = 20;
const NAME_PX = 62;
/** Room beyond the greatest value, as a share of it. */
const BEYOND = 1.12;

export function layoutRuler(plan: RulerPlan, widthPx: number): RulerLayout {
  const { low, limit, mark, from } = plan;
  const narrow = widthPx < 520;
  const left = narrow ? 2 : NAME_PX;
  const top = narrow ? 46 : 26;
  const most = Math.max(mark.most ?? mark.at, limit?.at ?? 0) * BEYOND;
  const x = (value: number) => left + (value / most) * (widthPx - left - 2);
  const middle = top + BAND_PX / 2;
  const start = x(low ?? 0);
  const above =
    limit === null ? [] : [inside(strong(labelAt(limit.words, x(limit.at), top - 14, 'middle')), left, widthPx)];
  const below = [
    inside(labelAt(mark.words, x(mark.at), top + BAND_PX + 16, 'middle'), left, widthPx),
    ...(from === null ? [] : [inside(labelAt(from.words, x(from.at), top + BAND_PX + 16, 'middle'), left, widthPx)]),
  ];
  const rows = below.length > 1 && touches(below[0]!, below[1]!) ? 2 : 1;
  if (rows === 2) below[1]!.y += ROW_PX;
  return {
    width: widthPx,
    height: top + BAND_PX + 16 + rows * ROW_PX,
    band: { x: start, y: top, width: Math.max(0, x(limit?.at ?? most) - start), height: BAND_PX },
    range: from === null ? null : rangeBox(x(from.at), x(mark.at), middle),
    dot: { x: x(mark.at), y: middle, beyond: limit !== null && (mark.most ?? mark.at) > limit.at },
    most: mark.most === null || mark.most <= mark.at ? null : { x1: x(mark.at), x2: x(mark.most), y: middle },
    stop: limit === null ? null : { x: x(limit.at), y1: top - 6, y2: top + BAND_PX + 6 },
    labels: [labelAt(plan.name, narrow ? 2 : 0, narrow ? 12 : middle), ...above, ...below],
  };
}

const strong = (label: Label): Label => ({ ...label, strong: true });

const rangeBox = (a: number, b: number, middle: number): Box => ({
  x: Math.min(a, b),
  y: middle - 3,
  width: Math.abs(b - a),
  height: 6,
});

/** The same label, moved so that it stays within the drawing. */
function inside(label: Label, left: number, width: number): Label {
  const box = boxAround(label);
  const shift = Math.max(0, left - box.x) - Math.max(0, box.x + box.width - width);
  return { ...label, x: label.x + shift };
}

function touches(a: Label, b: Label): boolean {
  const [one, other] = [boxAround(a), boxAround(b)];
  return one.x < other.x + other.width + 8 && other.x < one.x + one.width + 8;
}
