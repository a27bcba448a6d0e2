/** Options and data of the chart library for the picture of one day. Pure but for the hooks, which paint. */
import type uPlot from 'uplot';
import { inkOn } from '../../charts/ink.ts';
import type { ChartPlan, Library } from '../../charts/now-options.ts';
import type { Palette } from '../../charts/palette.ts';
import { scaleRange } from '../../charts/rows.ts';
import { type DayLayout, type Painting, paintGround, paintMarks } from './day-paint.ts';
import type { DayPicture } from './day-picture.ts';

const AXIS_PX = 27;
const PAD_PX = 8;
/** Of a letter of the axis, strong ones being the widest. */
const LETTER_PX = 8;

/** The level on top under a strip for letters, then two rows of watts on one scale. */
export function dayLayout(heightPx: number): DayLayout {
  const rowPx = Math.round((heightPx - 120) * 0.29);
  return {
    heightPx,
    stripPx: 20,
    fullPx: 38,
    emptyPx: heightPx - 2 * rowPx - 60,
    inBasePx: heightPx - rowPx - 30,
    outBasePx: heightPx - 4,
    rowPx,
  };
}

export function dayPlan(
  picture: DayPicture,
  palette: Palette,
  width: number,
  height: number,
  library: Library,
): ChartPlan {
  const layout = dayLayout(height - AXIS_PX);
  const { columns } = picture;
  const row = (base: number) => scaleRange(layout.heightPx, base, base - layout.rowPx, columns.topW);
  const quiet = { points: { show: false } };
  const options: uPlot.Options = {
    width,
    height,
    ms: 1,
    pxAlign: false,
    padding: [0, padFor(picture.ticks.at(-1)), 0, padFor(picture.ticks[0])],
    legend: { show: false },
    cursor: { y: false, points: { show: false }, drag: { x: false, y: false, setScale: false } },
    scales: {
      x: { time: false, range: [picture.startMs, picture.endMs] },
      level: { range: scaleRange(layout.heightPx, layout.emptyPx, layout.fullPx, 100) },
      input: { range: row(layout.inBasePx) },
      output: { range: row(layout.outBasePx) },
    },
    series: [
      {},
      { scale: 'level', stroke: palette.stored, width: palette.levelWidth, ...quiet },
      { scale: 'input', ...sunOn(palette), paths: library.stepped, ...quiet },
      { scale: 'input', stroke: palette.ink, width: 1.6, dash: [0, 4], cap: 'round', ...quiet },
      { scale: 'output', stroke: palette.ink, width: 1.2, paths: library.stepped, ...quiet },
    ],
    axes: [
      {
        size: AXIS_PX,
        gap: 6,
        grid: { show: false },
        ticks: { show: false },
        font: `${palette.textWeight} 13px Atkinson, system-ui, sans-serif`,
        stroke: palette.soft,
        splits: () => picture.ticks.map(tick => tick.at),
        values: () => picture.ticks.map(tick => tick.label),
      },
      ...['level', 'input', 'output'].map(scale => ({ scale, show: false })),
    ],
    hooks: hooksOf(picture, palette, layout, library),
  };
  return { options, data: [columns.at, columns.level, columns.input, columns.clear, columns.output] };
}

/** Ink by day; dim at night, where no large area is bright and the upper edge tells. */
const sunOn = (palette: Palette): Pick<uPlot.Series, 'fill' | 'stroke' | 'width'> =>
  palette.bar === palette.stored
    ? { fill: palette.fill, width: 0 }
    : { fill: palette.bar, stroke: palette.ink, width: 1.2 };

/** Room for half of a label that stands at the edge. */
const padFor = (tick: DayPicture['ticks'][number] | undefined): number =>
  Math.max(PAD_PX, Math.ceil(((tick?.label.length ?? 0) * LETTER_PX) / 2));

function hooksOf(picture: DayPicture, palette: Palette, layout: DayLayout, library: Library): uPlot.Hooks.Arrays {
  const paint = (draw: (on: Painting) => void) => (u: uPlot) => {
    const ratio = library.ratio();
    const [left, top] = [u.bbox.left / ratio, u.bbox.top / ratio];
    const place = (value: number, scale: string) => u.valToPos(value, scale, true) / ratio;
    draw({
      ink: inkOn(u.ctx, ratio, palette),
      picture,
      palette,
      layout,
      left,
      top,
      right: left + u.bbox.width / ratio,
      x: at => place(at, 'x'),
      level: percent => place(percent, 'level'),
      input: watts => place(watts, 'input'),
    });
  };
  return { drawClear: [paint(paintGround)], draw: [paint(paintMarks)] };
}
