/**
 * Whether the sun carries what is planned, month by month, and the smallest station and panels that would. All of the load
 * is taken to go through the battery, so a day balances where what comes in is worth what goes out:
 *
 *   inWorth · sun ≥ need        (Wh of the label a day)
 */
import type { ClearMonth } from './clear-months.ts';
import { quantile, type Range } from './lasting.ts';
import type { Weather, WeatherFrom } from './weather.ts';

export interface MonthOutlook {
  month: number;
  /** From the panels, Wh a day. */
  sunWh: Range;
  meanWh: number;
  /** Days of ten whose sun is enough. */
  inTen: number;
  /** From full to the floor through dull days in a row (one in ten is duller); null: the sun of such days is enough. */
  dullDays: number | null;
  from: WeatherFrom;
  recordedDays: number;
}

export interface Need {
  /** Wh of the label a day, the station's own draw in it. */
  needWh: number;
  inWorth: number;
  /** From full to the floor, Wh of the label. */
  usableWh: number;
}

/** @param clear the month's cloudless day @param weather how much of it comes */
export function monthOutlook(clear: ClearMonth, weather: Weather, { needWh, inWorth, usableWh }: Need): MonthOutlook {
  const { clearness, from, days } = weather;
  const sunAt = (share: number) => clear.clearWh * share;
  const enough = clearness.filter(share => inWorth * sunAt(share) >= needWh).length;
  const low = sunAt(quantile(clearness, 0.1));
  const missing = needWh - inWorth * low;
  return {
    month: clear.month,
    sunWh: { p10: low, p50: sunAt(quantile(clearness, 0.5)), p90: sunAt(quantile(clearness, 0.9)) },
    meanWh: sunAt(meanOf(clearness)),
    inTen: (10 * enough) / clearness.length,
    dullDays: missing <= 0 ? null : usableWh / missing,
    from,
    recordedDays: days,
  };
}

export const meanOf = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

export interface SmallestNeed {
  needWh: number;
  inWorth: number;
  /** Dull days in a row that the battery carries. */
  dullDays: number;
  /** Share of the label between full and the floor, 0-1. */
  usableShare: number;
}

export interface Smallest {
  /** The month that asks for most. */
  month: number;
  /** Rated watts on the same planes whose mean day carries the need; null: no sun in that month. */
  panelW: number | null;
  /** Label that carries the dull days, and at least one night of 24 hours less daylight, Wh. */
  stationWh: number;
}

/**
 * By the worst month: panels whose mean day is worth the need, and a battery that carries the dull days with what such days
 * bring to these panels. Ports do not limit it.
 *
 * @param ratedW what the months were reckoned for
 */
export function smallest(
  months: readonly { clear: ClearMonth; weather: Weather }[],
  ratedW: number,
  { needWh, inWorth, dullDays, usableShare }: SmallestNeed,
): Smallest {
  const perW = months.map(({ clear, weather }) => (inWorth * clear.freeWh * meanOf(weather.clearness)) / ratedW);
  const least = Math.min(...perW);
  const worst = perW.indexOf(least);
  const panelW = least > 0 ? needWh / least : null;
  const labels = months.map(({ clear, weather }) => {
    const dull = panelW === null ? 0 : (inWorth * clear.freeWh * quantile(weather.clearness, 0.1) * panelW) / ratedW;
    return Math.max(dullDays * Math.max(0, needWh - dull), NIGHT_SHARE * needWh) / usableShare;
  });
  return { month: months[worst]!.clear.month, panelW, stationWh: Math.max(...labels) };
}

/** A winter's night between two days whose sun is of use, as a share of a day (own judgement). */
const NIGHT_SHARE = 0.67;
