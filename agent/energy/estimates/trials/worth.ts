/**
 * What the money buys: for each delivered watt-hour, for each watt-hour a year from the sun at this place, and after how
 * many years the tariff has paid it back. Money in the tariff's currency; ranges hold 95 % as far as their inputs do.
 */
import type { Figure } from './figure.ts';

export interface Range {
  readonly value: number;
  readonly low95: number;
  readonly high95: number;
}

export const rangeOf = ({ value, low95, high95 }: Range): Range => ({ value, low95, high95 });

/** A value known exactly. */
export const exactly = (value: number): Range => ({ value, low95: value, high95: value });

/** Of positive values: product of powers, relative ranges added as squares of logarithms (JCGM 100:2008, 5.1.6). */
export function powersOf(of: readonly (readonly [Range, 1 | -1])[]): Range {
  let [log, up, down] = [0, 0, 0];
  for (const [{ value, low95, high95 }, power] of of) {
    log += power * Math.log(value);
    const [high, low] = [Math.log(high95 / value), Math.log(value / Math.max(low95, value / 20))];
    up += (power === 1 ? high : low) ** 2;
    down += (power === 1 ? low : high) ** 2;
  }
  const value = Math.exp(log);
  return { value, low95: value * Math.exp(-Math.sqrt(down)), high95: value * Math.exp(Math.sqrt(up)) };
}

export interface WorthAsked {
  /** What station, or panels, cost; null where not told. */
  readonly paid: number | null;
  /** Delivered Wh of one full discharge, as a true value; null where there is none. */
  readonly delivered: Range | null;
  readonly harvestWhAYear: Range | null;
  /** What a kWh from the wall costs; a range where it depends on the hour. */
  readonly perKWh: Range | null;
}

export interface Worth {
  readonly perDeliveredWh: Range | null;
  readonly perHarvestedWhAYear: Range | null;
  readonly payBackYears: Range | null;
}

export function worthOf({ paid, delivered, harvestWhAYear, perKWh }: WorthAsked): Worth {
  if (paid === null || paid <= 0) return { perDeliveredWh: null, perHarvestedWhAYear: null, payBackYears: null };
  const price = exactly(paid);
  const sun = harvestWhAYear !== null && harvestWhAYear.value > 0 ? harvestWhAYear : null;
  return {
    perDeliveredWh:
      delivered === null || delivered.value <= 0
        ? null
        : powersOf([
            [price, 1],
            [delivered, -1],
          ]),
    perHarvestedWhAYear:
      sun === null
        ? null
        : powersOf([
            [price, 1],
            [sun, -1],
          ]),
    payBackYears:
      sun === null || perKWh === null || perKWh.value <= 0
        ? null
        : powersOf([
            [price, 1],
            [sun, -1],
            [perKWh, -1],
            [exactly(1e-3), -1],
          ]),
  };
}

/**
 * Harvest a year from the share of the clear sky that a trial found and what the place gives.
 * @param clearSkyWhAYear of these panels, cloudless
 * @param clearness share of it that the weather leaves, of a usual year
 */
export function harvestAYear(ofClearSkyPct: Figure | null, clearSkyWhAYear: Range, clearness: Range): Range {
  const found: Range =
    ofClearSkyPct === null
      ? exactly(1)
      : powersOf([
          [ofClearSkyPct, 1],
          [exactly(100), -1],
        ]);
  return powersOf([
    [found, 1],
    [clearSkyWhAYear, 1],
    [clearness, 1],
  ]);
}
