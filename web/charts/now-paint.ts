/** Paints what a Now picture decided: night and hairlines under the lines, marks and words over them. */
import type { Ink } from './ink.ts';
import type { NowPicture } from './now-picture.ts';
import type { Palette } from './palette.ts';
import type { PlotLayout } from './plot-layout.ts';
import { overlaps, paintRange } from './range-paint.ts';

/** Where things fall, CSS pixels on the canvas. */
export interface Places {
  layout: PlotLayout;
  left: number;
  right: number;
  top: number;
  x(at: number): number;
  level(percent: number): number;
}

const LABEL_PX = 13;

/** Night shading, hairlines and the outlines of gaps: under everything. */
export function paintGround(ink: Ink, picture: NowPicture, palette: Palette, at: Places): void {
  const { layout, left, right, top } = at;
  for (const night of picture.nights) {
    const from = Math.max(left, at.x(night.fromMs));
    ink.box(from, top, Math.min(right, at.x(night.toMs)) - from, layout.heightPx, palette.night);
  }
  for (const { percent } of picture.levels) {
    const y = at.level(percent);
    ink.line(
      [
        [left, y],
        [right, y],
      ],
      { colour: palette.hair, width: palette.hairWidth },
    );
  }
  for (const gap of picture.gaps) {
    const from = at.x(gap.fromMs);
    ink.outline(from, top + layout.fullPx, at.x(gap.toMs) - from, layout.outBasePx - layout.fullPx, palette.soft);
  }
  const dotted = (percent: number) => {
    const y = at.level(percent);
    ink.line(
      [
        [left, y],
        [right, y],
      ],
      { colour: palette.ink, width: palette.hairWidth * 1.5, dotted: 6 },
    );
  };
  dotted(picture.floor.percent);
  if (picture.ceilingPct !== null) dotted(picture.ceilingPct);
}

/** Base lines, the line of now, the range, and all words: over everything. */
export function paintMarks(ink: Ink, picture: NowPicture, palette: Palette, at: Places): void {
  const { layout, left, right, top } = at;
  for (const base of [layout.inBasePx, layout.outBasePx]) {
    ink.line(
      [
        [left, top + base],
        [right, top + base],
      ],
      { colour: palette.ink, width: 1.5 },
    );
  }
  const now = at.x(picture.span.nowMs);
  ink.line(
    [
      [now, top],
      [now, top + layout.heightPx],
    ],
    { colour: palette.ink, width: Math.max(1.5, palette.hairWidth) },
  );
  for (const dot of picture.dots) ink.dot(at.x(dot.at), at.level(dot.percent), 3.5, palette.stored);
  const taken = paintRange(ink, picture, palette, at, now);
  for (const { fromMs, toMs, reason } of picture.gaps) {
    const style = { colour: palette.ink, size: LABEL_PX };
    const room = at.x(toMs) - at.x(fromMs);
    const width = ink.measure(reason ?? '', style);
    if (reason !== null && width + 12 < room) ink.text(reason, at.x(fromMs) + (room - width) / 2, at.level(75), style);
  }
  paintLeftLabels(ink, picture, palette, at);
  paintSunLabels(ink, picture, palette, at);
  paintCuts(ink, picture, palette, at);
  const style = { colour: palette.ink, strong: true, size: LABEL_PX } as const;
  const width = ink.measure(picture.nowLabel, style);
  const heights = [at.level(100) + 15, at.level(58), at.level(30)].slice(lastLevel(picture) > 84 ? 1 : 0);
  const free = heights.find(y => !taken.some(box => overlaps(box, { left: now + 6, right: now + 6 + width, y })));
  ink.text(picture.nowLabel, now + 6, free ?? heights[0]!, style);
}

const lastLevel = (picture: NowPicture): number => picture.columns.level.findLast(v => typeof v === 'number') ?? 0;

function paintLeftLabels(ink: Ink, picture: NowPicture, palette: Palette, at: Places): void {
  const { layout, left, top } = at;
  const style = { colour: palette.soft, size: LABEL_PX };
  for (const { percent, label } of picture.levels) {
    const y = at.level(percent);
    // Above its hairline, or under it where the level runs through that place.
    const width = ink.measure(label, style);
    ink.text(label, left, lineCrosses(picture, at, left, left + width, y - 18, y + 2) ? y + 16 : y - 5, style);
  }
  const floorY = at.level(picture.floor.percent);
  const width = ink.measure(picture.floor.label, style);
  const crossed = lineCrosses(picture, at, left, left + width, floorY - 18, floorY);
  ink.text(picture.floor.label, left, crossed ? floorY + 17 : floorY - 6, style);
  ink.text(picture.rowLabels.input, left, top + layout.inBasePx - layout.rowPx - 9, style);
  ink.text(picture.rowLabels.output, left, top + layout.outBasePx - layout.rowPx - 7, style);
}

function lineCrosses(
  picture: NowPicture,
  at: Places,
  left: number,
  right: number,
  top: number,
  bottom: number,
): boolean {
  return picture.columns.at.some((moment, i) => {
    const percent = picture.columns.level[i] ?? null;
    if (percent === null) return false;
    const [x, y] = [at.x(moment), at.level(percent)];
    return x >= left - 4 && x <= right + 4 && y >= top && y <= bottom;
  });
}

/**
 * Sunset stands right of its moment, sunrise left of it: both within the night, and not at all where that is too short.
 * Where the line of now would cross it, it stands at the other side of its moment: past that line it would name another.
 */
function paintSunLabels(ink: Ink, picture: NowPicture, palette: Palette, at: Places): void {
  const base = at.top + at.layout.inBasePx;
  const now = at.x(picture.span.nowMs);
  let taken = at.left;
  const ticks = picture.nights.flatMap(({ sunsetAt, sunriseAt }) =>
    [sunsetAt, sunriseAt].flatMap(moment => (moment === null ? [] : [at.x(moment)])),
  );
  const set = (label: string, x: number, toLeft: boolean) => {
    const style = { colour: palette.soft, size: LABEL_PX };
    const width = ink.measure(label, style);
    const crosses = (from: number) => from < now && from + width > now;
    const [left, right] = [x - width - 5, x + 5];
    const within = toLeft ? left : right;
    const start = crosses(within) ? left + right - within : within;
    if (crosses(start) || start < taken || start + width > at.right + 2) return;
    if (start !== within && inputWithin(picture, at, start, start + width)) return;
    if (ticks.some(tick => tick > start && tick < start + width)) return;
    taken = start + width + 8;
    ink.text(label, start, base - 5, { ...style });
  };
  for (const night of picture.nights) {
    for (const moment of [night.sunsetAt, night.sunriseAt]) {
      if (moment === null) continue;
      ink.line(
        [
          [at.x(moment), base - 6],
          [at.x(moment), base],
        ],
        { colour: palette.ink, width: 1.5 },
      );
    }
    if (night.sunsetLabel !== null) set(night.sunsetLabel, at.x(night.sunsetAt!), false);
    if (night.sunriseLabel !== null) set(night.sunriseLabel, at.x(night.sunriseAt!), true);
  }
}

/** Something came in then: its filled row would hide words of the same tone. */
const inputWithin = ({ columns }: NowPicture, at: Places, left: number, right: number): boolean =>
  columns.at.some((moment, i) => (columns.input[i] ?? 0) > 0 && at.x(moment) > left && at.x(moment) < right);

/** The number of each cut spike, beside its top; where several crowd, the highest keep theirs. */
function paintCuts(ink: Ink, picture: NowPicture, palette: Palette, at: Places): void {
  const taken: { from: number; to: number }[] = [];
  const highestFirst = picture.cutLabels
    .map((cut, i) => ({ ...cut, watts: picture.columns.cuts[i]!.watts }))
    .sort((a, b) => b.watts - a.watts);
  const y = at.top + at.layout.outBasePx - at.layout.rowPx + 11;
  for (const { at: moment, label } of highestFirst) {
    const style = { colour: palette.soft, size: 12 };
    const width = ink.measure(label, style);
    const now = at.x(picture.span.nowMs);
    const right = at.x(moment) + 5;
    const from = right + width > now - 2 ? at.x(moment) - 5 - width : right;
    const to = from + width;
    if (from < at.left || taken.some(t => from < t.to + 6 && to > t.from - 6)) continue;
    taken.push({ from, to });
    ink.text(label, from, y, style);
  }
}
