/** Paints the picture of one day: night, gaps and hairlines under the lines; marks, notes and words over them. */
import type { Ink } from '../../charts/ink.ts';
import type { Palette } from '../../charts/palette.ts';
import * as words from '../../words/ledger-day.ts';
import { placeCuts } from './cut-labels.ts';
import type { DayPicture } from './day-picture.ts';

/** CSS pixels from the plot's top edge. */
export interface DayLayout {
  heightPx: number;
  /** Base of the strip that holds letters and numbers. */
  stripPx: number;
  fullPx: number;
  emptyPx: number;
  inBasePx: number;
  outBasePx: number;
  rowPx: number;
}

/** What there is to paint, on what, and where things fall, CSS pixels on the canvas. */
export interface Painting {
  ink: Ink;
  picture: DayPicture;
  palette: Palette;
  layout: DayLayout;
  left: number;
  right: number;
  top: number;
  x(at: number): number;
  level(percent: number): number;
  input(watts: number): number;
}

const LABEL_PX = 13;
/** From the top of the row, what the watts of a cut spike take. */
const CUT_LABEL_PX = 16;

export function paintGround(on: Painting): void {
  const { ink, picture, palette, layout, left, right, top } = on;
  for (const night of picture.nights) {
    const from = Math.max(left, on.x(night.fromMs));
    ink.box(
      from,
      top + layout.stripPx,
      Math.min(right, on.x(night.toMs)) - from,
      layout.heightPx - layout.stripPx,
      palette.night,
    );
  }
  for (const { percent } of picture.levels) across(on, on.level(percent), palette.hair, palette.hairWidth);
  for (const gap of picture.gaps) {
    const from = on.x(gap.fromMs);
    ink.outline(from, top + layout.stripPx, on.x(gap.toMs) - from, layout.outBasePx - layout.stripPx, palette.soft);
  }
}

export function paintMarks(on: Painting): void {
  const { picture, palette, layout, top } = on;
  across(on, on.level(0), palette.hair, palette.hairWidth);
  for (const base of [layout.inBasePx, layout.outBasePx]) across(on, top + base, palette.ink, 1.5);
  paintOutages(on);
  if (picture.nowMs !== null) paintNow(on, picture.nowMs);
  paintLabels(on);
  paintGapReasons(on);
  paintSun(on);
  paintCuts(on);
  paintFlags(on);
}

const across = ({ ink, left, right }: Painting, y: number, colour: string, width: number): void =>
  ink.line(
    [
      [left, y],
      [right, y],
    ],
    { colour, width },
  );

const upright = ({ ink }: Painting, x: number, from: number, to: number, colour: string, width: number): void =>
  ink.line(
    [
      [x, from],
      [x, to],
    ],
    { colour, width },
  );

function paintNow(on: Painting, nowMs: number): void {
  const { ink, picture, palette, layout, top, right } = on;
  const x = on.x(nowMs);
  upright(on, x, top + layout.stripPx, top + layout.heightPx, palette.ink, Math.max(1.5, palette.hairWidth));
  const style = { colour: palette.ink, strong: true, size: LABEL_PX } as const;
  const width = ink.measure(picture.nowLabel, style);
  ink.text(picture.nowLabel, x + 6 + width > right ? x - 6 - width : x + 6, top + layout.stripPx + 14, style);
}

/** A bar on the foot of the level's part, its words over it. */
function paintOutages(on: Painting): void {
  const { ink, picture, palette, right } = on;
  const style = { colour: palette.ink, size: LABEL_PX };
  const width = ink.measure(words.outageLabel, style);
  let free = on.left;
  for (const { fromMs, toMs } of picture.outages) {
    const [from, y] = [on.x(fromMs), on.level(0)];
    ink.box(from, y - 5, Math.max(3, on.x(toMs) - from), 5, palette.ink);
    const start = Math.min(from, right - width);
    if (start < free || isCrossed(on, start, start + width, y - 22, y)) continue;
    free = start + width + 8;
    ink.text(words.outageLabel, start, y - 9, style);
  }
}

function paintLabels(on: Painting): void {
  const { ink, picture, palette, layout, left, top } = on;
  const style = { colour: palette.soft, size: LABEL_PX };
  for (const { percent, label } of picture.levels) {
    const y = on.level(percent);
    const width = ink.measure(label, style);
    ink.text(label, left, isCrossed(on, left, left + width, y - 18, y + 2) ? y + 16 : y - 5, style);
  }
  const inY = top + layout.inBasePx - layout.rowPx - 8;
  ink.text(picture.rowLabels.input, left, inY, style);
  ink.text(picture.rowLabels.output, left, top + layout.outBasePx - layout.rowPx - 6, style);
  paintClear(on, left + ink.measure(picture.rowLabels.input, style) + 12);
}

/** Over the crest of the clear sky, where the row's own label leaves room. */
function paintClear(on: Painting, freeFrom: number): void {
  const { ink, picture, palette, right } = on;
  if (picture.clearLabel === null) return;
  const { clear, at } = picture.columns;
  const crest = clear.reduce<number>((best, watts, i) => ((watts ?? 0) > (clear[best] ?? 0) ? i : best), 0);
  const style = { colour: palette.soft, size: LABEL_PX };
  const width = ink.measure(picture.clearLabel, style);
  const from = Math.max(freeFrom, on.x(at[crest]!) - width / 2);
  if (from + width < right) ink.text(picture.clearLabel, from, on.input(clear[crest] ?? 0) - 7, style);
}

/** Within the outline where it has room; the list below the drawing holds every one. */
function paintGapReasons(on: Painting): void {
  const { ink, picture, palette } = on;
  const style = { colour: palette.ink, size: LABEL_PX };
  for (const { fromMs, toMs, reason } of picture.gaps) {
    if (reason === null) continue;
    const [from, to] = [on.x(fromMs), on.x(toMs)];
    const width = ink.measure(reason, style);
    if (width + 12 > to - from) continue;
    // Between two of the level's hairlines.
    ink.text(reason, (from + to - width) / 2, on.level(75) + 5, style);
  }
}

/** Sunset stands right of its moment, sunrise left of it: both within the night. */
function paintSun(on: Painting): void {
  const { ink, picture, palette, layout, left, right, top } = on;
  const y = top + layout.inBasePx - 5;
  const style = { colour: palette.soft, size: LABEL_PX };
  for (const { sunset, sunrise } of picture.nights)
    for (const moment of [sunset, sunrise]) {
      if (moment === null) continue;
      const { at, label } = moment;
      const x = on.x(at);
      upright(on, x, top + layout.inBasePx - 7, top + layout.inBasePx, palette.ink, 1.5);
      const width = ink.measure(label, style);
      const from = moment === sunrise ? x - width - 5 : x + 5;
      if (from < left || from + width > right + 2) continue;
      ink.text(label, from, y, style);
    }
}

function paintCuts(on: Painting): void {
  const { ink, picture, palette, layout, left, right, top } = on;
  const style = { colour: palette.soft, size: 12 };
  const { at, output, cuts, topW } = picture.columns;
  const labelled = picture.cutLabels.map((cut, i) => ({ ...cut, watts: cuts[i]!.watts }));
  const line = { at, output, tallW: topW * (1 - CUT_LABEL_PX / layout.rowPx) };
  const width = (label: string) => ink.measure(label, style);
  for (const { x, label } of placeCuts(labelled, line, { left, right, x: on.x, width }))
    ink.text(label, x, top + layout.outBasePx - layout.rowPx + 11, style);
}

/** Letters of marks bare, numbers of notes outlined, each over a hairline down to what came in then. */
function paintFlags(on: Painting): void {
  const { ink, picture, palette, layout, left, right, top } = on;
  let free = left;
  for (const { at, label, kind } of picture.flags) {
    const x = on.x(at);
    const style = { colour: palette.ink, strong: true, size: LABEL_PX } as const;
    const width = ink.measure(label, style);
    const from = Math.min(Math.max(x - width / 2, free), right - width);
    upright(on, x, top + layout.stripPx, top + layout.inBasePx, palette.soft, palette.hairWidth);
    if (from < free) continue;
    if (kind === 'note') box(on, from - 4, top + 1, width + 8, layout.stripPx - 3);
    ink.text(label, from, top + layout.stripPx - 6, style);
    free = from + width + 12;
  }
}

function box({ ink, palette }: Painting, x: number, y: number, width: number, height: number): void {
  ink.line(
    [
      [x, y],
      [x + width, y],
      [x + width, y + height],
      [x, y + height],
      [x, y],
    ],
    { colour: palette.ink, width: 1 },
  );
}

/** Whether the line of the level runs through a box. */
const isCrossed = (on: Painting, left: number, right: number, top: number, bottom: number): boolean =>
  on.picture.columns.at.some((moment, i) => {
    const percent = on.picture.columns.level[i] ?? null;
    if (percent === null) return false;
    const [x, y] = [on.x(moment), on.level(percent)];
    return x >= left - 4 && x <= right + 4 && y >= top && y <= bottom;
  });
