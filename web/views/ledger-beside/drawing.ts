/** Two bars a day on one scale: one filled, the other outlined; dashed where a day does not count. */
import type uPlot from 'uplot';
import { type Ink, inkOn } from '../../charts/ink.ts';
import type { ChartPlan, Library } from '../../charts/now-options.ts';
import type { Palette } from '../../charts/palette.ts';
import type { Drawable } from '../../charts/time-chart.ts';
import { asText, type Formats, GAP, MISSING, type Times } from '../../format.ts';
import * as words from '../../words/ledger-beside.ts';
import { type Beside, isPerKw, type Pair } from './pairs.ts';

const AXIS_PX = 27;
const LEFT_PX = 56;
const LABEL_PX = 13;
/** Less than this a day and two bars cannot be told apart. */
const LEAST_SLOT_PX = 6;

export interface BesideDrawing extends Drawable {
  summary: string;
}

type Values = [one: number | null, other: number | null];

export function besideDrawable(beside: Beside, today: string, formats: Formats, times: Times): BesideDrawing {
  const perKw = isPerKw(beside);
  const valuesOf = ({ days }: Pair): Values =>
    days.map(day => (day === null ? null : perKw ? day.finalYieldH : day.solarWh)) as Values;
  let shown = beside.pairs;
  const text = (value: number | null) =>
    value === null
      ? MISSING
      : perKw
        ? `${formats.number(value, 2)}${GAP}${words.scaleYield}`
        : asText(formats.energy(value));
  return {
    plan(palette, width, height, library) {
      const most = Math.max(1, Math.floor((width - LEFT_PX) / LEAST_SLOT_PX));
      shown = beside.pairs.slice(-most);
      const names = shown.map(({ dates }) => times.dayMonth(dates[0], today));
      return planOf({ pairs: shown, values: shown.map(valuesOf), names, perKw }, formats, {
        palette,
        width,
        height,
        library,
      });
    },
    count: beside.pairs.length,
    start: 0,
    read(index) {
      const pair = shown[Math.min(index, shown.length - 1)]!;
      const [one, other] = valuesOf(pair).map(text) as [string, string];
      const [a, b] = pair.dates.map(date => times.dayMonth(date, today)) as [string, string];
      return words.readPair(words.pairDates(a, b), one, other, pair.counted);
    },
    summary: words.summary(formats.number(beside.pairs.length, 0), formats.number(beside.common, 0)),
  };
}

interface Bars {
  pairs: readonly Pair[];
  values: readonly Values[];
  names: readonly string[];
  perKw: boolean;
}

function planOf(
  bars: Bars,
  formats: Formats,
  { palette, width, height, library }: { palette: Palette; width: number; height: number; library: Library },
): ChartPlan {
  const top = Math.max(bars.perKw ? 0.5 : 10, ...bars.values.flat().map(value => value ?? 0)) * 1.06;
  const font = `${palette.textWeight} ${LABEL_PX}px Atkinson, system-ui, sans-serif`;
  const count = bars.pairs.length;
  const every = Math.ceil((count * 92) / Math.max(1, width - LEFT_PX));
  const none: uPlot.Series = { scale: 'y', paths: () => null, points: { show: false } };
  const axis = { stroke: palette.soft, font, ticks: { show: false } };
  return {
    data: [bars.pairs.map((_, i) => i), bars.values.map(v => v[0]), bars.values.map(v => v[1])],
    options: {
      width,
      height,
      ms: 1,
      pxAlign: false,
      padding: [18, 4, 0, 0],
      legend: { show: false },
      cursor: { y: false, points: { show: false }, drag: { x: false, y: false, setScale: false } },
      scales: { x: { time: false, range: [-0.5, Math.max(0.5, count - 0.5)] }, y: { range: [0, top] } },
      series: [{}, none, none],
      axes: [
        {
          ...axis,
          size: AXIS_PX,
          gap: 6,
          grid: { show: false },
          splits: () => bars.pairs.map((_, i) => i).filter(i => i % every === 0 && i + every / 2 <= count),
          values: (_, at) => at.map(i => bars.names[i]!),
        },
        {
          ...axis,
          scale: 'y',
          size: LEFT_PX,
          gap: 8,
          grid: { stroke: palette.hair, width: palette.hairWidth },
          values: (_, at) => at.map(value => formats.number(value, bars.perKw && top < 4 ? 1 : 0)),
        },
      ],
      hooks: {
        draw: [
          u => {
            const ratio = library.ratio();
            const ink = inkOn(u.ctx, ratio, palette);
            const at = (value: number, scale: string) => u.valToPos(value, scale, true) / ratio;
            paintBars(ink, bars, palette, at);
            const unit = bars.perKw ? words.scaleYield : words.scaleEnergy;
            ink.text(unit, 0, 12, { colour: palette.soft, size: LABEL_PX });
          },
        ],
      },
    },
  };
}

function paintBars(
  ink: Ink,
  { pairs, values }: Bars,
  palette: Palette,
  at: (value: number, scale: string) => number,
): void {
  const base = at(0, 'y');
  const slot = at(1, 'x') - at(0, 'x');
  const wide = Math.min(26, slot * 0.4);
  values.forEach((pair, i) => {
    pair.forEach((value, side) => {
      if (value === null) return;
      const x = at(i, 'x') + (side === 0 ? -wide : 0);
      const y = at(value, 'y');
      if (!pairs[i]!.counted) ink.outline(x + 0.5, y, wide - 1, base - y, palette.ink);
      else if (side === 0) filled(ink, x, y, wide - 1, base - y, palette);
      else framed(ink, x + 0.75, y, wide - 1.5, base - y, palette.ink);
    });
  });
  ink.line(
    [
      [at(-0.5, 'x'), base],
      [at(pairs.length - 0.5, 'x'), base],
    ],
    { colour: palette.ink, width: 1.5 },
  );
}

/** Ink by day; dim at night, where no large area is bright and the upper edge tells. */
function filled(ink: Ink, x: number, y: number, width: number, height: number, palette: Palette): void {
  ink.box(x, y, width, height, palette.bar === palette.stored ? palette.fill : palette.bar);
  ink.line(
    [
      [x, y],
      [x + width, y],
    ],
    { colour: palette.ink, width: 1.5 },
  );
}

function framed(ink: Ink, x: number, y: number, width: number, height: number, colour: string): void {
  ink.line(
    [
      [x, y + height],
      [x, y],
      [x + width, y],
      [x + width, y + height],
    ],
    { colour, width: 1.5 },
  );
}
