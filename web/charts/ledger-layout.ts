/**
 * Where everything of the Ledger's drawing stands: bars under the clear-sky line, the carpet beneath them on the same
 * days, names of months, marks with their words. CSS px of a drawing of the given width. Pure.
 */
import type { ListedDay } from '../views/ledger/figures.ts';
import { type Carpet, ledgerCarpet } from './ledger-carpet.ts';
import { type Columns, ledgerColumns } from './ledger-columns.ts';
import { type LetteredMark, letterMarks, type Moment, type PlacedMark, placeMarks, textPx } from './ledger-marks.ts';
import { type ShadeSeen, shadeSeen } from './ledger-shade.ts';

/** What is to be drawn, with the words for it. Places on the axis are counted in days from the first one's midnight. */
export interface LedgerDrawable {
  days: readonly ListedDay[];
  stepMin: number;
  marks: readonly Moment[];
  spans: readonly { from: number; to: number }[];
  number(value: number, decimals: number): string;
  /** `09:00`. */
  clock(minute: number): string;
  monthName(date: string): string;
  dayName(date: string): string;
  /** `brief` where the whole would not fit. */
  shadeWords(seen: ShadeSeen, brief: boolean): string;
  topWords(topW: number): string;
}

interface Label {
  x: number;
  y: number;
  text: string;
}

export interface LedgerLayout {
  widthPx: number;
  heightPx: number;
  left: number;
  right: number;
  columns: Columns;
  carpet: Carpet | null;
  bars: { top: number; base: number; whole: string; edges: string; partly: string; today: string };
  /** Path of the clear-sky line, and where its name stands; null where no day knows it. */
  clear: { path: string; x: number; y: number } | null;
  scale: readonly Label[];
  unit: Label;
  /** Of the carpet. */
  top: number;
  bottom: number;
  hours: readonly Label[];
  darkest: Label | null;
  shade: { label: Label; anchor: 'start' | 'end'; path: string } | null;
  names: readonly Label[];
  spans: readonly { x: number; width: number }[];
  marks: readonly PlacedMark[];
  /** In place of `marks` where these find no room; their words stand beneath the drawing. */
  letters: readonly LetteredMark[];
  lettersY: number;
}

export const LEFT_PX = 60;
const RIGHT_PX = 4;
const TOP_PX = 34;
const CLEAR_NAME_PX = 90;
const BETWEEN_PX = 44;
const ROW_PX = 20;

export interface Room {
  widthPx: number;
  barsPx: number;
  carpetPx: number;
}

export function ledgerLayout(drawable: LedgerDrawable, room: Room): LedgerLayout {
  const { days } = drawable;
  const [left, right] = [LEFT_PX, room.widthPx - RIGHT_PX];
  const columns = ledgerColumns(days, right - left);
  const perDay = (right - left) / Math.max(1, columns.days);
  const x = (day: number) => left + day * perDay;
  const carpet = ledgerCarpet(columns, drawable.stepMin);
  const base = TOP_PX + room.barsPx;
  const scale = scaleOf(columns);
  const y = (wh: number) => base - (wh / scale.topWh) * room.barsPx;
  const top = carpet === null ? base : base + BETWEEN_PX;
  const bottom = carpet === null ? base : top + room.carpetPx;
  const seen = carpet === null ? null : shadeSeen(days, drawable.stepMin);
  const shade = seen === null ? null : shadeNote(seen, drawable, carpet!, { x, top, bottom, left, right });
  const axis = bottom + (shade === null ? 0 : ROW_PX);
  const rows = { top: bottom, names: axis + 28, first: axis + 46, rowPx: ROW_PX };
  const placed = placeMarks(drawable.marks, { left, right, x }, rows);
  const marks = placed ?? [];
  const kilo = scale.topWh >= 10_000;
  return {
    widthPx: room.widthPx,
    heightPx:
      axis +
      32 +
      (placed === null ? ROW_PX : marks.length === 0 ? 0 : ROW_PX * (1 + Math.max(...marks.map(m => m.row))) + 6),
    left,
    right,
    columns,
    carpet,
    bars: { top: TOP_PX, base, ...barPaths(columns, x, y, base) },
    clear: clearPath(columns, x, y),
    scale: scale.steps.map(wh => ({
      x: left - 8,
      y: y(wh),
      text: drawable.number(kilo ? wh / 1000 : wh, kilo && scale.stepWh % 1000 !== 0 ? 1 : 0),
    })),
    unit: { x: left - 8, y: TOP_PX - 12, text: kilo ? 'kWh' : 'Wh' },
    top,
    bottom,
    hours: carpet === null ? [] : hourLabels(carpet, drawable, top, bottom, left),
    darkest: carpet === null ? null : { x: right, y: top - 8, text: drawable.topWords(carpet.topW) },
    shade,
    names: namesOf(drawable, x, right, axis + 24),
    spans: drawable.spans.map(({ from, to }) => ({
      x: x(Math.max(0, from)),
      width: Math.max(2, x(Math.min(columns.days, to)) - x(Math.max(0, from))),
    })),
    marks,
    letters: placed === null ? letterMarks(drawable.marks, { left, right, x }, rows) : [],
    lettersY: axis + 46,
  };
}

/** Highest bar or line with a little room, and the steps of the scale: 1, 2 or 5 times a power of ten. */
function scaleOf({ list }: Columns): { topWh: number; stepWh: number; steps: number[] } {
  const most = Math.max(1, ...list.flatMap(c => [c.solarWh ?? 0, c.clearSkyWh ?? 0]));
  // Whole watt-hours: of a finer scale two steps would read alike.
  const power = Math.max(1, 10 ** Math.floor(Math.log10(most / 4.5)));
  const stepWh = [1, 2, 5, 10].map(n => n * power).find(n => n >= most / 4.5)!;
  const steps: number[] = [];
  for (let wh = stepWh; wh <= most; wh += stepWh) steps.push(wh);
  return { topWh: most, stepWh, steps };
}

const n = (px: number): string => String(Math.round(px * 10) / 10);

/** Whole pixels, so that all bars and gaps are alike; from 4 px a column on, a gap stands between two. */
function barPaths({ list }: Columns, x: (day: number) => number, y: (wh: number) => number, base: number) {
  const paths = { whole: '', partly: '', today: '', edges: '' };
  for (const { from, to, kind, solarWh } of list) {
    if (solarWh === null || kind === 'missing') continue;
    const [start, end] = [Math.round(x(from)), Math.round(x(to))];
    const gap = end - start >= 40 ? 4 : end - start >= 3 ? 1 : 0;
    const [width, high] = [end - start - gap, Math.max(0, base - y(solarWh))];
    if (kind === 'partly') {
      paths.partly += `M${start + 0.5} ${base}V${n(base - high)}H${start + Math.max(1.5, width - 0.5)}V${base}`;
      continue;
    }
    paths[kind] += `M${start} ${base}v${n(-high)}h${width}V${base}z`;
    if (high > 0) paths.edges += `M${start} ${n(base - high + 1)}h${width}`;
  }
  return paths;
}

function clearPath(columns: Columns, x: (day: number) => number, y: (wh: number) => number): LedgerLayout['clear'] {
  let path = '';
  let pen = false;
  const points: { x: number; y: number }[] = [];
  for (const { from, to, clearSkyWh } of columns.list) {
    if (clearSkyWh === null) {
      pen = false;
      continue;
    }
    const at = { x: x((from + to) / 2), y: y(clearSkyWh) };
    points.push(at);
    path += `${pen ? 'L' : 'M'}${n(at.x)} ${n(at.y)}`;
    pen = true;
  }
  if (points.length === 0) return null;
  // Its name stands above the line as far as the words go.
  const along = points.filter((point, i) => i === 0 || point.x < x(0) + 6 + CLEAR_NAME_PX);
  return { path, x: x(0) + 6, y: Math.min(...along.map(point => point.y)) - 8 };
}

function hourLabels(carpet: Carpet, drawable: LedgerDrawable, top: number, bottom: number, left: number): Label[] {
  const perMin = (bottom - top) / (carpet.toMin - carpet.fromMin);
  const labels: Label[] = [];
  for (let minute = Math.ceil(carpet.fromMin / 180) * 180; minute <= carpet.toMin; minute += 180)
    labels.push({ x: left - 8, y: top + (minute - carpet.fromMin) * perMin, text: drawable.clock(minute) });
  return labels;
}

/** Beneath the carpet, a thin line leading up to the dip. */
function shadeNote(
  seen: ShadeSeen,
  drawable: LedgerDrawable,
  carpet: Carpet,
  at: { x: (day: number) => number; top: number; bottom: number; left: number; right: number },
): LedgerLayout['shade'] {
  const x = Math.round(at.x(seen.middle + 0.5)) + 0.5;
  const room = Math.max(at.right - x, x - at.left) - 6;
  const whole = drawable.shadeWords(seen, false);
  const text = textPx(whole) > room ? drawable.shadeWords(seen, true) : whole;
  const anchor = x + 6 + textPx(text) > at.right ? 'end' : 'start';
  const perMin = (at.bottom - at.top) / (carpet.toMin - carpet.fromMin);
  const y = seen.atMin === null ? at.bottom : at.top + (seen.atMin - carpet.fromMin) * perMin;
  const textX = anchor === 'start' ? x + 6 : x - 6;
  return { label: { x: textX, y: at.bottom + 15, text }, anchor, path: `M${x} ${n(y)}V${at.bottom + 16}` };
}

const NAMED_DAYS = 45;
const NAME_GAP_PX = 12;

/** Days where they are few; else months, as many as have room, in full or cut to three letters; a year at its beginning. */
function namesOf(drawable: LedgerDrawable, x: (day: number) => number, right: number, y: number): Label[] {
  const { days } = drawable;
  const perDay = x(1) - x(0);
  if (days.length <= NAMED_DAYS) {
    const every = [1, 2, 7, 14].find(count => count * perDay >= 70) ?? 14;
    return fitting(
      days.flatMap(({ date }, i) => (i % every === 0 ? { x: x(i), y, text: drawable.dayName(date) } : [])),
      right,
    );
  }
  const perMonth = 30.4 * perDay;
  const full = perMonth >= textPx('September') + NAME_GAP_PX;
  const every = [1, 2, 3, 6, 12].find(count => count * perMonth >= textPx('2026') + NAME_GAP_PX) ?? 12;
  const manyYears = days.length > 400;
  return fitting(
    days.flatMap(({ date }, i) => {
      const month = Number(date.slice(5, 7));
      // What begins within a month carries its name where enough of it is left.
      const begins = date.endsWith('-01') || (i === 0 && Number(date.slice(8)) <= 16 && !manyYears);
      if (!begins || (month - 1) % every !== 0) return [];
      const name = drawable.monthName(date);
      return { x: x(i), y, text: manyYears && month === 1 ? date.slice(0, 4) : full ? name : name.slice(0, 3) };
    }),
    right,
  );
}

/** Without those that would run into the one before or over the edge. */
function fitting(labels: readonly Label[], right: number): Label[] {
  let taken = Number.NEGATIVE_INFINITY;
  return labels.filter(label => {
    const end = label.x + textPx(label.text);
    if (label.x < taken || end > right + 4) return false;
    taken = end + NAME_GAP_PX;
    return true;
  });
}
