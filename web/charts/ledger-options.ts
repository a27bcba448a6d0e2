/** Options and data of the chart library for the Ledger's bars. */
import type uPlot from 'uplot';
import { type Ink, inkOn } from './ink.ts';
import type { LedgerPicture } from './ledger-picture.ts';
import type { ChartPlan, Library } from './now-options.ts';
import type { Palette } from './palette.ts';

const AXIS_PX = 30;
const SCALE_PX = 56;
const PAD_TOP = 22;
/** Between bars, CSS px: at least this, at most a tenth of the slot. */
const GAP_PX = 1.5;
const BAR_MOST_PX = 64;

export function ledgerPlan(
  picture: LedgerPicture,
  palette: Palette,
  width: number,
  height: number,
  library: Library,
): ChartPlan {
  const bars = library.bars(barShare((width - SCALE_PX) / picture.slots.length), BAR_MOST_PX);
  const last = picture.slots.length - 1;
  const quiet = { points: { show: false }, paths: bars, pxAlign: 0 };
  const font = (weight: string) => `${weight} 13px Atkinson, system-ui, sans-serif`;
  return {
    data: [picture.slots, picture.whole, picture.partly, picture.today],
    options: {
      width,
      height,
      ms: 1,
      pxAlign: false,
      padding: [PAD_TOP, 4, 0, 0],
      legend: { show: false },
      cursor: { y: false, points: { show: false }, drag: { x: false, y: false, setScale: false } },
      scales: { x: { time: false, range: [-0.5, last + 0.5] }, y: { range: [0, picture.topWh] } },
      series: [
        {},
        { fill: palette.bar, width: 0, ...quiet },
        { stroke: palette.stored, width: 1.2, dash: [3, 3], ...quiet },
        { fill: palette.fanInner, width: 0, ...quiet },
      ],
      axes: [
        { size: AXIS_PX, gap: 8, grid: { show: false }, ticks: { show: false }, splits: () => [], values: () => [] },
        {
          size: SCALE_PX,
          gap: 8,
          grid: { show: false },
          ticks: { show: false },
          font: font(palette.textWeight),
          stroke: palette.soft,
          splits: () => picture.scale.map(s => s.wh),
          values: () => picture.scale.map(s => s.label),
        },
      ],
      hooks: { draw: [u => paint(u, picture, palette, library.ratio())] },
    },
  };
}

const barShare = (slotPx: number): number => Math.max(0.5, Math.min(0.9, 1 - GAP_PX / slotPx));

/** The upper edge of each bar in full colour: it carries the value where the bar itself is dim. */
function edges(
  ink: Ink,
  picture: LedgerPicture,
  palette: Palette,
  x: (slot: number) => number,
  y: (wh: number) => number,
): void {
  const half = Math.min(BAR_MOST_PX, barShare(x(1) - x(0)) * (x(1) - x(0))) / 2;
  picture.slots.forEach((slot, i) => {
    const wh = picture.whole[i] ?? picture.today[i] ?? null;
    if (wh === null || wh === 0) return;
    ink.line(
      [
        [x(slot) - half, y(wh) + 1],
        [x(slot) + half, y(wh) + 1],
      ],
      { colour: palette.stored, width: 2 },
    );
  });
}

/** Hairlines over the bars, the base, the unit, names of days or months, shares of partly recorded days. */
function paint(u: uPlot, picture: LedgerPicture, palette: Palette, ratio: number): void {
  const ink = inkOn(u.ctx, ratio, palette);
  const [left, top] = [u.bbox.left / ratio, u.bbox.top / ratio];
  const [right, base] = [left + u.bbox.width / ratio, top + u.bbox.height / ratio];
  const x = (slot: number) => u.valToPos(slot, 'x', true) / ratio;
  const y = (wh: number) => u.valToPos(wh, 'y', true) / ratio;
  u.ctx.save();
  u.ctx.globalAlpha = 0.5;
  for (const { wh } of picture.scale)
    ink.line(
      [
        [left, y(wh)],
        [right, y(wh)],
      ],
      { colour: palette.paper, width: 1 },
    );
  u.ctx.restore();
  edges(ink, picture, palette, x, y);
  ink.line(
    [
      [left, base],
      [right, base],
    ],
    { colour: palette.ink, width: 1.5 },
  );
  ink.text(picture.unit, left - 8, top - 8, { colour: palette.soft, align: 'right' });
  const months = picture.names.length > 0 && !/\d/.test(picture.names[0]!.label);
  let taken = left - 20;
  for (const { slot, label } of picture.names) {
    const style = { colour: months ? palette.ink : palette.soft, ...(months ? { strong: true as const } : {}) };
    const width = ink.measure(label, style);
    const from = Math.min(months ? x(slot - 0.45) : x(slot) - width / 2, right - width);
    if (from < taken + 8) continue;
    taken = from + width;
    ink.text(label, from, base + 21, style);
  }
  for (const { slot, wh, label } of picture.shares)
    ink.text(label, x(slot), y(wh) - 5, { colour: palette.soft, align: 'center', size: 12 });
}
