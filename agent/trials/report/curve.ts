/** A curve as inline SVG: the range as a band, what lies between as a line, what was measured one by one as dots. */
import type { WireTrialCurve } from '#messages';
import { text } from './escape.ts';
import { number } from './numbers.ts';
import { CURVE_NAMES } from './words.ts';

export interface Drawn {
  readonly curve: WireTrialCurve;
  /** Whose it is; '' where there is only one. */
  readonly name: string;
  /** Which of the results, from 0: tells the pattern of its line and dots. */
  readonly order: number;
}

const [WIDTH, HEIGHT] = [800, 320];
const [LEFT, RIGHT, TOP, BOTTOM] = [64, 16, 24, 44];
/** Names above the drawing. */
const [COLUMNS, COLUMN, LABEL_ROW] = [3, 240, 18];
/** More points than this are not seen. */
const MOST_POINTS = 600;
const LINES = ['', '8 5', '2 4', '12 4 2 4'];
const FILLED = ['#1f5fa8', 'none', '#15181c', 'none'];

/** Round steps of 1, 2 or 5 that part a span into four to nine. */
function stepOf(span: number): number {
  const rough = span / 5;
  const power = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map(part => part * power).find(step => step >= rough)!;
}

function ticks(low: number, high: number): number[] {
  const step = stepOf(high - low);
  const first = Math.ceil(low / step - 1e-9);
  return Array.from({ length: Math.floor(high / step + 1e-9) - first + 1 }, (_, i) => (first + i) * step);
}

const placesOf = (values: readonly number[]): number =>
  values.length < 2 ? 0 : Math.max(0, Math.min(3, -Math.floor(Math.log10(values[1]! - values[0]!) + 1e-9)));

/** Of many points every so-manyth, the last one kept. */
function thinned<T>(points: readonly T[]): readonly T[] {
  const every = Math.ceil(points.length / MOST_POINTS);
  return every <= 1 ? points : points.filter((_, i) => i % every === 0 || i === points.length - 1);
}

/** Whether its range is wide enough to be drawn. */
export const hasBand = ({ curve }: Drawn): boolean => curve.points.some(p => p.high95 > p.low95);

/** All of one kind on one axis; '' where there is nothing to draw. */
export function curveSvg(drawn: readonly Drawn[]): string {
  const all = drawn.flatMap(({ curve }) => curve.points);
  if (all.length < 2) return '';
  const words = CURVE_NAMES[drawn[0]!.curve.of];
  const xs = all.map(p => p.x);
  const [x0, x1] = [Math.min(...xs, 0), Math.max(...xs)];
  const [low, high] = [Math.min(...all.map(p => p.low95)), Math.max(...all.map(p => p.high95))];
  // Watts from nothing up: a steady load looks steady.
  const y0 = low >= 0 && (words.y === 'W' || low < 0.7 * high) ? 0 : low;
  const y1 = high + (high - y0) * 0.04 + 1e-9;
  if (!(x1 > x0) || !(y1 > y0)) return '';
  // Each result once, whatever it is drawn with.
  const named = drawn.flatMap(({ name, order }, i) =>
    name === '' || drawn.findIndex(one => one.name === name && one.order === order) < i ? [] : i,
  );
  const top = TOP + LABEL_ROW * Math.max(0, Math.ceil(named.length / COLUMNS) - 1);
  const X = (x: number) => LEFT + ((x - x0) / (x1 - x0)) * (WIDTH - LEFT - RIGHT);
  const Y = (y: number) => HEIGHT - BOTTOM - ((y - y0) / (y1 - y0)) * (HEIGHT - top - BOTTOM);
  const at = (x: number, y: number) => `${X(x).toFixed(1)},${Y(y).toFixed(1)}`;
  const [across, up] = [ticks(x0, x1), ticks(y0, y1)];
  const grid = [
    ...up.map(
      y =>
        `<path d="M${LEFT},${Y(y).toFixed(1)}H${WIDTH - RIGHT}" stroke="#d8d4c8"/>` +
        `<text x="${LEFT - 8}" y="${(Y(y) + 5).toFixed(1)}" text-anchor="end">${number(y, placesOf(up))}</text>`,
    ),
    ...across.map(
      x =>
        `<text x="${X(x).toFixed(1)}" y="${HEIGHT - BOTTOM + 20}" text-anchor="middle">${number(x, placesOf(across))}</text>`,
    ),
  ];
  const parts = drawn.map(({ curve, name, order }, i) => {
    const points = thinned(curve.points);
    const band = [...points.map(p => at(p.x, p.high95)), ...points.toReversed().map(p => at(p.x, p.low95))];
    const line =
      curve.as === 'line'
        ? `<polygon points="${band.join(' ')}" fill="#1f5fa8" opacity="0.14"/>` +
          `<polyline points="${points.map(p => at(p.x, p.y)).join(' ')}" fill="none" stroke="#1f5fa8" stroke-width="2"
            stroke-dasharray="${LINES[order % LINES.length]}"/>`
        : points
            .map(
              p =>
                `<path d="M${X(p.x).toFixed(1)},${Y(p.low95).toFixed(1)}V${Y(p.high95).toFixed(1)}" stroke="#15181c"/>` +
                `<circle cx="${X(p.x).toFixed(1)}" cy="${Y(p.y).toFixed(1)}" r="4" stroke="#1f5fa8" fill="${FILLED[order % FILLED.length]}"/>`,
            )
            .join('');
    const place = named.indexOf(i);
    const [x, y] = [LEFT + 16 + COLUMN * (place % COLUMNS), 16 + LABEL_ROW * Math.floor(place / COLUMNS)];
    const label =
      place < 0
        ? ''
        : `<path d="M${x},${y - 5}h28" stroke="#1f5fa8" stroke-width="2" stroke-dasharray="${LINES[order % LINES.length]}"/>` +
          `<text x="${x + 34}" y="${y}" font-size="14">${text(name)}</text>`;
    return line + label;
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${text(`${words.name}, ${words.y} over ${words.x}`)}"
    font-size="14" fill="#15181c" font-family="Verdana, DejaVu Sans, sans-serif">${grid.join('')}<path d="M${LEFT},${HEIGHT - BOTTOM}H${WIDTH - RIGHT}" stroke="#15181c"/>
    ${parts.join('')}<text x="${LEFT - 8}" y="${top - 8}" text-anchor="end">${words.y}</text>
    <text x="${WIDTH - RIGHT}" y="${HEIGHT - 6}" text-anchor="end">${words.x}</text></svg>`;
}
