/**
 * Cells in series, and strings side by side: what the port sees. A string is rows of cells in series, each with a bypass
 * diode or none; where its current is more than a shaded row can carry, the diode carries it and the row costs a
 * diode's drop instead of holding the whole string back. Parallel strings share one voltage.
 */
import { currentAt, type Diode, maxPower, openCircuitV, type PowerPoint, voltageAt } from './diode.ts';

/** `count` equal rows under equal light in one string. */
export interface Rows {
  readonly diode: Diode;
  count: number;
  /** Drop of the bypass diode, V; null: none. */
  readonly bypassV: number | null;
}

export type SeriesString = readonly Rows[];

/** dV/dI of the string at the last `stringVoltageAt`, Ω. */
let lastSlopeOhm = 0;

/** Voltage of a string at a current, V. */
export function stringVoltageAt(string: SeriesString, currentA: number): number {
  let sum = 0;
  let slope = 0;
  for (const rows of string) {
    if (rows.count === 0) continue;
    const v = voltageAt(rows.diode, currentA);
    if (rows.bypassV !== null && v < -rows.bypassV) sum -= rows.count * rows.bypassV;
    else {
      sum += rows.count * v;
      slope += rows.count * rows.diode.slopeOhm;
    }
  }
  lastSlopeOhm = slope;
  return sum;
}

/** The only kind of rows there is in a string under even light; null where there are more. */
function onlyRows(string: SeriesString): Rows | null {
  let only: Rows | null = null;
  for (const rows of string) {
    if (rows.count === 0) continue;
    if (only !== null) return null;
    only = rows;
  }
  return only;
}

/** Current of a string at a voltage, A, never backwards: a diode keeps a weaker string from taking current. */
export function stringCurrentAt(string: SeriesString, voltageV: number): number {
  const even = onlyRows(string);
  if (even !== null) return Math.max(0, currentAt(even.diode, voltageV / even.count));
  let low = 0;
  let high = 0;
  for (const rows of string) if (rows.count > 0) high = Math.max(high, rows.diode.lightA);
  if (stringVoltageAt(string, 0) <= voltageV) return 0;
  let current = high * 0.8;
  for (let k = 0; k < 60; k++) {
    const over = stringVoltageAt(string, current) - voltageV;
    if (over > 0) low = current;
    else high = current;
    if (Math.abs(over) < 1e-6 || high - low < 1e-9) break;
    const next = current - over / Math.min(-1e-6, lastSlopeOhm);
    current = next > low && next < high ? next : (low + high) / 2;
  }
  return current;
}

/** Strings side by side on one port. */
export type Strings = readonly SeriesString[];

export function currentOf(strings: Strings, voltageV: number): number {
  let sum = 0;
  for (const string of strings) sum += stringCurrentAt(string, voltageV);
  return sum;
}

/** Open-circuit voltage of the whole, V: of its highest string. */
export function openCircuitOf(strings: Strings): number {
  let highest = 0;
  for (const string of strings) {
    let sum = 0;
    for (const rows of string)
      if (rows.count > 0 && rows.diode.lightA > 0) sum += rows.count * openCircuitV(rows.diode);
    highest = Math.max(highest, sum);
  }
  return highest;
}

const scaled = (point: PowerPoint, count: number): PowerPoint => ({
  voltageV: point.voltageV * count,
  currentA: point.currentA,
  powerW: point.powerW * count,
});

/** Maximum power of one string under even light; null where it is not. */
export function evenMaximum(strings: Strings): PowerPoint | null {
  const [string] = strings;
  if (string === undefined || strings.length > 1) return null;
  const even = onlyRows(string);
  return even === null ? null : scaled(maxPower(even.diode), even.count);
}

const GRID = 80;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** The true maximum power point of the whole, whatever hills lie between: a grid over the voltage, then golden section. */
export function globalMaximum(strings: Strings): PowerPoint {
  const even = evenMaximum(strings);
  if (even !== null) return even;
  const topV = openCircuitOf(strings);
  const powerAt = (v: number) => v * currentOf(strings, v);
  let best = 0;
  let bestW = 0;
  for (let k = 1; k < GRID; k++) {
    const w = powerAt((topV * k) / GRID);
    if (w > bestW) [best, bestW] = [k, w];
  }
  let a = (topV * (best - 1)) / GRID;
  let b = (topV * (best + 1)) / GRID;
  while (b - a > 1e-5) {
    const c = b - GOLDEN * (b - a);
    const d = a + GOLDEN * (b - a);
    if (powerAt(c) > powerAt(d)) b = d;
    else a = c;
  }
  const voltageV = (a + b) / 2;
  const currentA = currentOf(strings, voltageV);
  return { voltageV, currentA, powerW: voltageV * currentA };
}
