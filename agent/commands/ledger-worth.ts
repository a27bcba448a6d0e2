/**
 * What the days before a stretch were worth, so that a sum over all of them goes on from there. Where hours of the week
 * have prices of their own, quarter-hours say when the sun came in; each day is reckoned at its own price.
 */

import { MILLIJ_PER_WH } from '#energy/integrate';
import { byHour, wallMinutes } from '#energy/ledger/carpet';
import { weekdayOf, worthOf } from '#energy/tariff';
import type { DayTotals, Fact, RecordQueries, TariffSettings } from '#messages';
import { tariffAt } from './ledger-facts.ts';

const DAY_MS = 86_400_000;
const SLOT_MS = 900_000;
const SLOT_MIN = 15;
/** Quarter-hours read at once. */
const STRETCH_MS = 100 * DAY_MS;
const FIRST_DATE = '0000-01-01';

type Record = Pick<RecordQueries, 'days' | 'means'>;

/**
 * @param before civil date that is not counted any more
 * @param currency days priced in another one are left out, since sums are told in one
 * @returns null where nothing was recorded before, or no day of it had a price
 */
export function worthBefore(
  record: Record,
  station: string,
  facts: readonly Fact[],
  before: string,
  currency: string,
): { sinceDate: string; worth: number } | null {
  const days = record.days(station, FIRST_DATE, before).filter(({ date }) => date < before);
  const sharesOf = hourReader(record, station);
  let worth: number | null = null;
  for (const day of days) {
    const tariff = tariffAt(facts, (day.startMs + day.endMs) / 2);
    if (tariff?.currency !== currency || day.solarMilliJ === 0) continue;
    const shares = (tariff.hours ?? []).length === 0 ? NO_HOURS : sharesOf(day);
    worth = (worth ?? 0) + dayWorth(tariff, day, shares);
  }
  return worth === null ? null : { sinceDate: days[0]!.date, worth };
}

const NO_HOURS = new Float64Array(24);

/** @param shares of the harvest by hour of the wall clock */
export const dayWorth = (tariff: TariffSettings, day: DayTotals, shares: Float64Array): number =>
  worthOf(tariff, weekdayOf(day.date), day.solarMilliJ / MILLIJ_PER_WH, shares);

function hourReader(record: Record, station: string): (day: DayTotals) => Float64Array {
  let held: { number: number; meanW: Float64Array } | null = null;
  return ({ startMs, endMs, zone }) => {
    const number = Math.floor(startMs / STRETCH_MS);
    const fromMs = number * STRETCH_MS;
    if (held?.number !== number) {
      const toMs = fromMs + STRETCH_MS + 2 * DAY_MS;
      const { solarPowerW, inputPowerW } = record.means({
        station,
        quantities: ['solarPowerW', 'inputPowerW'],
        fromMs,
        toMs,
        stepMs: SLOT_MS,
      });
      held = { number, meanW: (solarPowerW ?? inputPowerW)?.mean ?? new Float64Array((toMs - fromMs) / SLOT_MS) };
    }
    const first = Math.floor((startMs - fromMs) / SLOT_MS);
    const slots = held.meanW.subarray(first, first + Math.ceil((endMs - startMs) / SLOT_MS));
    const wall = wallMinutes(startMs, slots.length * SLOT_MIN, zone);
    return byHour(
      slots,
      wall.filter((_, minute) => minute % SLOT_MIN === 0),
    );
  };
}
