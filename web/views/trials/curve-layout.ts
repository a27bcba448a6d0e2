/** Where the parts of a trial's drawing lie: lines and points of one or several results on one axis, with their bands. Pure; px. */
import type { WireTrialCurve } from '#messages';

type Point = WireTrialCurve['points'][number];

export interface DrawnSeries {
  /** Told at the line where there are several. */
  name: string;
  /** Which of the results, from 0: tells the pattern of its lines and dots. */
  order: number;
  as: 'points' | 'line';
  points: readonly Point[];
  /** A model beside what was measured. */
  model?: boolean;
}

export interface Placed {
  name: string;
  order: number;
  model: boolean;
  line: string;
  /** '' where the range is nowhere wider than the line. */
  band: string;
  dots: { x: number; y: number; lowY: number; highY: number }[];
  label: { x: number; y: number } | null;
}

export interface CurveLayout {
  width: number;
  height: number;
  left: number;
  right: number;
  topY: number;
  baseY: number;
  xTicks: { x: number; text: string }[];
  yTicks: { y: number; text: string }[];
  series: Placed[];
  units: { x: string; y: string };
}

export interface CurveRoom {
  width: number;
  height: number;
  /** Scale that is whole by nature, such as percents; else from 0 to a round value above. */
  xTo?: number;
  yTo?: number;
  /** The scale begins near the least value: told beside the axis. */
  yFromLeast?: boolean;
  units: { x: string; y: string };
  number(value: number, decimals: number): string;
}

const [LEFT, TOP, BOTTOM, RIGHT] = [56, 26, 30, 12];
const [X_TICK_PX, Y_TICK_PX] = [84, 46];
const LABEL_STEP_PX = 18;

/** Round steps from `low` to `high`: as many as have room. */
export function roundTicks(low: number, high: number, most: number): { values: number[]; decimals: number } {
  const rough = Math.max((high - low) / Math.max(1, most), 1e-9);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map(s => s * power).find(s => s >= rough * 0.999)!;
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  const values = Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => (first + i) * step);
  return { values, decimals: Math.max(0, -Math.floor(Math.log10(step) + 1e-9)) };
}

/** A whole number is written as one. */
const tickText = (value: number, decimals: number, { number }: Pick<CurveRoom, 'number'>): string =>
  number(value, Math.abs(value - Math.round(value)) < 1e-9 ? 0 : decimals);

const highest = (series: readonly DrawnSeries[], of: (point: Point) => number): number =>
  Math.max(...series.flatMap(({ points }) => points.map(of)), Number.NEGATIVE_INFINITY);

/** Every tenth below the least; 0 where the scale begins there. */
function leastOf(series: readonly DrawnSeries[], room: CurveRoom): number {
  if (room.yFromLeast !== true) return 0;
  const least = -highest(series, point => -Math.max(0, Math.min(point.low95, point.y)));
  return Number.isFinite(least) ? Math.max(0, Math.floor(least / 10) * 10) : 0;
}

export function curveLayout(series: readonly DrawnSeries[], room: CurveRoom): CurveLayout {
  const { width, height } = room;
  const [right, baseY] = [width - RIGHT, height - BOTTOM];
  const xTo =
    room.xTo ??
    Math.max(
      highest(series, point => point.x),
      1e-6,
    );
  const low = leastOf(series, room);
  const most = room.yTo ?? Math.max(highest(series, point => Math.max(point.y, point.high95)) * 1.05, low + 1e-6);
  const xOf = (x: number) => LEFT + (Math.min(Math.max(x, 0), xTo) / xTo) * (right - LEFT);
  const yOf = (y: number) => baseY - ((Math.min(Math.max(y, low), most) - low) / (most - low)) * (baseY - TOP);
  const xs = roundTicks(0, xTo, Math.floor((right - LEFT) / X_TICK_PX));
  const ys = roundTicks(low, most, Math.floor((baseY - TOP) / Y_TICK_PX));
  const placed = series.map(one => placedSeries(one, xOf, yOf));
  if (series.length > 1) placeLabels(placed, right);
  return {
    width,
    height,
    left: LEFT,
    right,
    topY: TOP,
    baseY,
    xTicks: xs.values.map(x => ({ x: xOf(x), text: tickText(x, xs.decimals, room) })),
    yTicks: ys.values.map(y => ({ y: yOf(y), text: tickText(y, ys.decimals, room) })),
    series: placed,
    units: room.units,
  };
}

const px = (value: number): string => value.toFixed(1);
const path = (places: readonly (readonly [number, number])[]): string =>
  places.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${px(x)} ${px(y)}`).join('');

function placedSeries(
  { name, order, as, points, model = false }: DrawnSeries,
  xOf: (x: number) => number,
  yOf: (y: number) => number,
): Placed {
  const wide = points.some(point => yOf(point.low95) - yOf(point.high95) > 1);
  const upper = points.map(point => [xOf(point.x), yOf(point.high95)] as const);
  const lower = points.map(point => [xOf(point.x), yOf(point.low95)] as const).reverse();
  return {
    name,
    order,
    model,
    line: as === 'line' ? path(points.map(point => [xOf(point.x), yOf(point.y)] as const)) : '',
    band: as === 'line' && wide ? `${path([...upper, ...lower])}Z` : '',
    dots:
      as === 'points'
        ? points.map(({ x, y, low95, high95 }) => ({ x: xOf(x), y: yOf(y), lowY: yOf(low95), highY: yOf(high95) }))
        : [],
    label: null,
  };
}

/** Names stand below each other in the upper right corner, each with a sample of its line. */
function placeLabels(placed: Placed[], right: number): void {
  const named = placed.filter(({ name }) => name !== '');
  named.forEach((series, i) => {
    series.label = { x: right, y: TOP - 10 + i * LABEL_STEP_PX };
  });
}
