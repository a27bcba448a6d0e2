/** Options and data of the chart library for one Now picture. Pure but for the hooks, which paint. */
import type uPlot from 'uplot';
import { type Ink, inkOn } from './ink.ts';
import { FAN } from './now-columns.ts';
import { type Places, paintGround, paintMarks } from './now-paint.ts';
import type { NowPicture } from './now-picture.ts';
import type { Palette } from './palette.ts';
import { type PlotLayout, plotLayout } from './plot-layout.ts';
import { scaleRange } from './rows.ts';

export const AXIS_PX = 27;
const PAD_LEFT = 8;
const PAD_RIGHT = 9;

export interface ChartPlan {
  options: uPlot.Options;
  data: uPlot.AlignedData;
}

/** What of the library the builder needs at run time: its path makers and the present pixel ratio. */
export interface Library {
  stepped: uPlot.Series.PathBuilder;
  /** Bars of this share of their slot, at most so many CSS pixels wide. */
  ratio(): number;
}

export function nowPlan(
  picture: NowPicture,
  palette: Palette,
  widthPx: number,
  heightPx: number,
  library: Library,
): ChartPlan {
  const layout = plotLayout(heightPx - AXIS_PX);
  return { options: optionsOf(picture, palette, widthPx, heightPx, layout, library), data: dataOf(picture) };
}

/** Time, level, the fan from low to high, input, output. */
export function dataOf({ columns }: NowPicture): uPlot.AlignedData {
  return [columns.at, columns.level, ...FAN.map(name => columns.fan[name]), columns.input, columns.output];
}

const series = (name: string) => 2 + FAN.indexOf(name as (typeof FAN)[number]);

function optionsOf(
  picture: NowPicture,
  palette: Palette,
  width: number,
  height: number,
  layout: PlotLayout,
  library: Library,
): uPlot.Options {
  const row = (base: number) => scaleRange(layout.heightPx, base, base - layout.rowPx, picture.columns.rowTopW);
  const quiet = { points: { show: false } };
  return {
    width,
    height,
    ms: 1,
    pxAlign: false,
    padding: [0, PAD_RIGHT, 0, PAD_LEFT],
    legend: { show: false },
    cursor: { y: false, points: { show: false }, drag: { x: false, y: false, setScale: false } },
    scales: {
      x: { time: false, range: [picture.span.fromMs, picture.span.toMs] },
      level: { range: scaleRange(layout.heightPx, layout.emptyPx, layout.fullPx, 100) },
      input: { range: row(layout.inBasePx) },
      output: { range: row(layout.outBasePx) },
    },
    series: [
      {},
      { scale: 'level', stroke: palette.stored, width: palette.levelWidth, ...quiet },
      ...FAN.map(name => ({
        scale: 'level',
        ...quiet,
        ...(name === 'p50'
          ? { stroke: palette.stored, width: 2.5, dash: [0, 5], cap: 'round' as const }
          : { width: 0 }),
      })),
      { scale: 'input', fill: palette.fill, width: 0, paths: library.stepped, ...quiet },
      { scale: 'output', stroke: palette.ink, width: 1.2, paths: library.stepped, ...quiet },
    ],
    bands: [
      { series: [series('p95'), series('p5')], fill: palette.fanOuter },
      { series: [series('p90'), series('p10')], fill: palette.fanMiddle },
      { series: [series('p75'), series('p25')], fill: palette.fanInner },
    ],
    axes: [timeAxis(picture, palette), ...['level', 'input', 'output'].map(scale => ({ scale, show: false }))],
    hooks: painters(picture, palette, layout, library),
  };
}

const timeAxis = (picture: NowPicture, palette: Palette): uPlot.Axis => ({
  size: AXIS_PX,
  gap: 6,
  grid: { show: false },
  ticks: { show: false },
  font: `${palette.textWeight} 13px Atkinson, system-ui, sans-serif`,
  stroke: palette.soft,
  splits: () => picture.ticks.map(tick => tick.at),
  values: () => picture.ticks.map(tick => tick.label),
});

function painters(picture: NowPicture, palette: Palette, layout: PlotLayout, library: Library): uPlot.Hooks.Arrays {
  const paint = (draw: (ink: Ink, picture: NowPicture, palette: Palette, at: Places) => void) => (u: uPlot) => {
    const ratio = library.ratio();
    const [left, top] = [u.bbox.left / ratio, u.bbox.top / ratio];
    draw(inkOn(u.ctx, ratio, palette), picture, palette, {
      layout,
      left,
      top,
      right: left + u.bbox.width / ratio,
      x: at => u.valToPos(at, 'x', true) / ratio,
      level: percent => u.valToPos(percent, 'level', true) / ratio,
    });
  };
  return { drawClear: [paint(paintGround)], draw: [paint(paintMarks)] };
}
