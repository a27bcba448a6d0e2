/** A year of one-minute readings of eight quantities, made up but not smooth: the same ones in every run. */
import type { Reading } from '#kit';

export const MINUTE_MS = 60_000;
export const MINUTES_A_YEAR = 365 * 1440;
export const STATION = 'shed';
export const YEAR_STARTS_AT = Date.UTC(2025, 0, 1);

/** Name and the whole numbers stored to one unit. */
export const COLUMNS = [
  ['inputPowerW', 10],
  ['solarPowerW', 10],
  ['outputPowerW', 10],
  ['acOutputPowerW', 10],
  ['dcOutputPowerW', 10],
  ['stateOfChargePct', 10],
  ['batteryVoltageV', 100],
  ['batteryTempC', 10],
] as const;

/** Deterministic noise in [0, 1) (a 32-bit mix of the index). */
function noise(index: number): number {
  let x = Math.imul(index ^ 0x9e3779b9, 0x85ebca6b);
  x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
  return ((x ^ (x >>> 16)) >>> 0) / 2 ** 32;
}

/** Whole numbers of the eight columns at a minute of the year. */
export function storedRow(minute: number): number[] {
  const day = minute / 1440;
  const height = Math.max(0, Math.sin(2 * Math.PI * (day - 0.25)));
  const cloud = 0.4 + 0.6 * noise(Math.floor(minute / 17));
  const sun = Math.round(3800 * height * cloud * (0.98 + 0.04 * noise(minute)));
  const fridge = minute % 45 < 16 ? 620 + Math.round(20 * noise(minute + 1)) : 0;
  const dc = 80 + Math.round(30 * noise(minute + 2));
  const pct = Math.round(10 * (55 + 35 * Math.sin(2 * Math.PI * (day - 0.45))));
  return [sun, sun, fridge + dc, fridge, dc, pct, 5120 + pct, 150 + Math.round(80 * height)];
}

export function readingAt(minute: number): Reading {
  const row = storedRow(minute);
  return {
    station: STATION,
    session: 's1',
    seq: minute + 1,
    monoMs: minute * MINUTE_MS,
    at: YEAR_STARTS_AT + minute * MINUTE_MS,
    clock: 'synced',
    quantities: Object.fromEntries(COLUMNS.map(([name, perUnit], i) => [name, row[i]! / perUnit])),
    states: {},
    quality: 'good',
    reasons: {},
  };
}
