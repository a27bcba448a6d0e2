/**
 * What kind of day it is: sky regime, air and temperature, drawn once a solar day (it turns at solar midnight, in the
 * dark). Dull days never come two in a row, so that the shed's pack has a chance; figures are invented.
 */
import { draw, drawBetween, noise, STREAM } from './chance.ts';
import type { BrokenDay } from './light/clouds.ts';

export type Regime = 'clear' | 'broken' | 'dull';

export interface Weather {
  readonly regime: Regime;
  /** Aerosol optical depth at 700 nm. */
  readonly aerosol: number;
  /** Precipitable water, cm. */
  readonly waterCm: number;
  /** How the clouds of a broken day are. */
  readonly broken: BrokenDay;
  /** Share of the clear sky's global that comes through on a dull day, 0..1. */
  readonly dullShare: number;
  readonly meanTempC: number;
  /** Half of the difference between afternoon and dawn, K. */
  readonly swingK: number;
  /** Mean wind over the panels, m/s. */
  readonly windMs: number;
}

const DAY_MS = 86_400_000;
const DULL_BELOW = 0.26;
const CLEAR_ABOVE = 0.6;
/** A low draw beside a lower one may not be dull: the lowest of them make it a fine day instead. */
const ALSO_CLEAR_BELOW = 0.12;

/** Solar day an instant belongs to (from solar midnight to solar midnight). */
export const solarDay = (ms: number, longitudeDeg: number): number => Math.floor(ms / DAY_MS + longitudeDeg / 360);

function regimeOf(seed: number, day: number): Regime {
  const here = draw(seed, STREAM.regime, day);
  const lowest = here < draw(seed, STREAM.regime, day - 1) && here < draw(seed, STREAM.regime, day + 1);
  if (lowest && here < DULL_BELOW) return 'dull';
  return here > CLEAR_ABOVE || here < ALSO_CLEAR_BELOW ? 'clear' : 'broken';
}

/** The weather of a solar day. `warmth` −1 midwinter … 1 midsummer shifts the mean temperature. */
export function weatherOf(seed: number, day: number, warmth: number): Weather {
  const pick = (k: number, min: number, max: number) => drawBetween(seed, STREAM.weather, day * 8 + k, min, max);
  const regime = regimeOf(seed, day);
  const cooler = regime === 'dull' ? -3 : 0;
  return {
    regime,
    aerosol: pick(0, 0.06, 0.24),
    waterCm: pick(1, 0.8, 3.2),
    broken: { deckShare: pick(2, 0.46, 0.6), opening: pick(6, -0.06, 0.06) },
    dullShare: pick(3, 0.22, 0.4),
    meanTempC: 17 + 5 * warmth + cooler + pick(4, -2.5, 2.5),
    swingK: regime === 'dull' ? pick(5, 1.5, 3) : pick(5, 4.5, 7.5),
    windMs: pick(7, 0.8, 3.4),
  };
}

/** Air temperature in the shade, °C; coolest about 3:30, warmest about 15:30 solar time. */
export function airTempC(weather: Weather, ms: number, longitudeDeg: number): number {
  const day = ms / DAY_MS + longitudeDeg / 360;
  const hour = (day - Math.floor(day)) * 24;
  return weather.meanTempC + weather.swingK * Math.sin(((hour - 9) / 24) * 2 * Math.PI - 0.13);
}

/** Wind over the panels, m/s: gusts of minutes around the day's mean. */
export const windMs = (weather: Weather, seed: number, ms: number): number =>
  weather.windMs * (0.35 + 1.3 * noise(seed, STREAM.wind, ms / 400_000));
