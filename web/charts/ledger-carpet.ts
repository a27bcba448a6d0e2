/**
 * The carpet: days across, time of day down, power as steps of ink. What was not recorded stays bare paper; recorded
 * darkness has the lightest step, so that the two differ. Pure but for `carpetImage`, which fills pixels.
 */
import type { Columns } from './ledger-columns.ts';

export interface Carpet {
  /** Minutes since midnight of the first and behind the last row. */
  fromMin: number;
  toMin: number;
  stepMin: number;
  /** Watts of the darkest step. */
  topW: number;
  rows: number;
  days: number;
  /** Step of ink of each cell, row by row: 0 bare paper, 1 recorded without sun, up to STEPS. */
  cells: Uint8Array;
}

export const STEPS = 10;
const HOUR_MIN = 60;
/** Less than this is darkness, W. */
const DARK_W = 0.5;

/** Null where no row knows any sun. */
export function ledgerCarpet(columns: Columns, stepMin: number): Carpet | null {
  const range = litRange(columns);
  if (range === null) return null;
  // Whole hours, one to spare where there is room.
  const fromMin = Math.max(0, Math.floor((range.first * stepMin) / HOUR_MIN) * HOUR_MIN);
  const toMin = Math.min(1440, Math.ceil(((range.last + 1) * stepMin) / HOUR_MIN) * HOUR_MIN);
  const firstSlot = Math.floor(fromMin / stepMin);
  const rows = Math.ceil(toMin / stepMin) - firstSlot;
  const cells = new Uint8Array(rows * columns.days);
  for (const { from, to, days } of columns.list) {
    for (let row = 0; row < rows; row++) {
      const step = stepOf(meanAt(days, firstSlot + row), range.topW);
      for (let day = from; day < to; day++) cells[row * columns.days + day] = step;
    }
  }
  return {
    fromMin: firstSlot * stepMin,
    toMin: (firstSlot + rows) * stepMin,
    stepMin,
    topW: range.topW,
    rows,
    days: columns.days,
    cells,
  };
}

/** First and last time of day with sun, and the most watts of any cell. */
function litRange({ list }: Columns): { first: number; last: number; topW: number } | null {
  let [first, last, topW] = [Number.POSITIVE_INFINITY, -1, 0];
  for (const { days } of list)
    for (const { row } of days) {
      if (row === null) continue;
      for (let slot = 0; slot < row.length; slot++) {
        const watts = row[slot]!;
        if (watts === null || watts < DARK_W) continue;
        if (slot < first) first = slot;
        if (slot > last) last = slot;
        if (watts > topW) topW = watts;
      }
    }
  return last < 0 ? null : { first, last, topW };
}

/** Mean of the days that know it; null where none does. */
function meanAt(days: Columns['list'][number]['days'], slot: number): number | null {
  if (days.length === 1) return days[0]!.row?.[slot] ?? null;
  let [sum, count] = [0, 0];
  for (const { row } of days) {
    const watts = row?.[slot] ?? null;
    if (watts === null) continue;
    sum += watts;
    count++;
  }
  return count === 0 ? null : sum / count;
}

const stepOf = (watts: number | null, topW: number): number =>
  watts === null ? 0 : watts < DARK_W ? 1 : Math.min(STEPS, 2 + Math.floor((watts / topW) * (STEPS - 1)));

/** How much ink a step takes, 0 to 1. */
export const inkOf = (step: number): number =>
  step === 0 ? 0 : step === 1 ? 0.035 : 0.1 + (0.82 * (step - 2)) / (STEPS - 2);

/** Pixels for `putImageData`, a cell each. @param ink the darkest step as [red, green, blue] */
export function carpetPixels({ cells }: Carpet, [red, green, blue]: readonly number[]): Uint8ClampedArray<ArrayBuffer> {
  const pixels = new Uint8ClampedArray(cells.length * 4);
  const alpha = Array.from({ length: STEPS + 1 }, (_, step) => Math.round(255 * inkOf(step)));
  for (let i = 0; i < cells.length; i++) {
    const step = cells[i]!;
    if (step === 0) continue;
    pixels[4 * i] = red!;
    pixels[4 * i + 1] = green!;
    pixels[4 * i + 2] = blue!;
    pixels[4 * i + 3] = alpha[step]!;
  }
  return pixels;
}
