/**
 * A station at 1 Hz with eight quantities, made up: a smooth one (slow curves, their last digit off by one or two, a
 * reading each second: xz takes a fifth of a byte a sample) and a noisy one (every channel shakes, instants tremble by
 * 20 ms, three in a hundred stretches of ten minutes are missing). The same in every run.
 */
import type { QuantityKey, Reading } from '#kit';

export type Kind = 'smooth' | 'noisy';

export const STATION = 'shed';
export const DAY_MS = 86_400_000;
export const DAY_S = 86_400;
export const STARTS_AT = Date.UTC(2025, 0, 1);

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
] as const satisfies readonly (readonly [QuantityKey, number])[];

/** Deterministic noise in [0, 1) (a 32-bit mix of the index). */
function noise(index: number): number {
  let x = Math.imul(index ^ 0x9e3779b9, 0x85ebca6b);
  x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
  x ^= x >>> 16;
  x = Math.imul(x, 0x27d4eb2f);
  return ((x ^ (x >>> 15)) >>> 0) / 2 ** 32;
}

/** A curve through random heights `everyS` apart. */
function drift(second: number, everyS: number, salt: number): number {
  const knot = Math.floor(second / everyS);
  const part = second / everyS - knot;
  const ease = part * part * (3 - 2 * part);
  return noise(knot * 7919 + salt) * (1 - ease) + noise((knot + 1) * 7919 + salt) * ease;
}

/** Whole numbers of the eight columns at a second. */
export function storedRow(second: number, kind: Kind): number[] {
  /** `by` of a noisy channel; of a smooth one two of the last digit. */
  const shake = (salt: number, by: number, digit = 0.1) =>
    (kind === 'smooth' ? 2 * digit : by) * (noise(second * 8 + salt) + noise(second * 8 + salt + 0x4000_0000) - 1);
  const day = second / DAY_S;
  const height = Math.max(0, Math.sin(2 * Math.PI * (day - 0.25)));
  const sun = 380 * height * (0.35 + 0.65 * Math.min(1, 1.6 * drift(second, 400, 1)));
  const runs = second % 2700 < 960;
  const ac = runs ? 62 + 6 * drift(second, 90, 2) + shake(1, 1.5) : 0;
  const dc = 8 + 4 * drift(second, 240, 3) + shake(2, 0.6);
  const pct = 55 + 35 * Math.sin(2 * Math.PI * (day - 0.45)) + shake(5, 0.15);
  const volts = 51.2 + pct / 50 + sun / 500 - (ac + dc) / 200 + shake(3, 0.05, 0.01);
  const temp = 15 + 8 * height + 2 * drift(second, 1800, 4) + shake(4, 0.2);
  const solar = Math.max(0, Math.round(10 * (sun + (height > 0 ? shake(0, 2) : 0))));
  const [acStored, dcStored] = [Math.round(10 * ac), Math.round(10 * dc)];
  return [
    solar,
    solar,
    acStored + dcStored,
    acStored,
    dcStored,
    Math.round(10 * pct),
    Math.round(100 * volts),
    Math.round(10 * temp),
  ];
}

const isMissing = (second: number, kind: Kind): boolean =>
  kind === 'noisy' && noise(Math.floor(second / 600) + 77) < 0.03;
const tremorMs = (second: number, kind: Kind): number =>
  kind === 'smooth' ? 0 : Math.round(40 * (noise(second + 5) - 0.5));

export const readingAt = (second: number, kind: Kind): Reading => {
  const row = storedRow(second, kind);
  const atMs = second * 1000 + tremorMs(second, kind);
  const value = (index: number) => row[index]! / COLUMNS[index]![1];
  return {
    station: STATION,
    session: 's1',
    seq: second + 1,
    monoMs: atMs,
    at: STARTS_AT + atMs,
    clock: 'synced',
    quantities: {
      inputPowerW: value(0),
      solarPowerW: value(1),
      outputPowerW: value(2),
      acOutputPowerW: value(3),
      dcOutputPowerW: value(4),
      stateOfChargePct: value(5),
      batteryVoltageV: value(6),
      batteryTempC: value(7),
    },
    states: {},
    quality: 'good',
    reasons: {},
  };
};

/** Readings from one second up to another one, every `stepS`. */
export function readingsOf(fromS: number, toS: number, kind: Kind, stepS = 1): Reading[] {
  const readings: Reading[] = [];
  for (let second = fromS; second < toS; second += stepS)
    if (!isMissing(second, kind)) readings.push(readingAt(second, kind));
  return readings;
}
