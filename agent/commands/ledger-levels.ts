/**
 * The level of the station's own for each day, from the record's quarter-hours of the days around: what its panels give
 * for each watt of the clear-sky model (`#energy/ledger/own-level`). The same for a day whatever stretch is asked for.
 */

import type { Plane } from '#energy/laws/incidence';
import type { ClearDay } from '#energy/ledger/clear-day';
import { AROUND_DAYS, type DayLevel, dayLevel, type Level, levelOf, type Slot } from '#energy/ledger/own-level';
import type { Means, RecordQueries } from '#messages';
import type { DayFacts } from './ledger-facts.ts';
import { AT_LIMIT, FULL_WITHIN_PCT } from './ledger-held.ts';
import type { DayPart } from './ledger-parts.ts';

const DAY_MS = 86_400_000;
const SLOT_MIN = 15;
const SLOT_MS = 900_000;
/** Quarter-hours asked for at once. */
const STRETCH_MS = 100 * DAY_MS;
const QUANTITIES = ['solarPowerW', 'inputPowerW', 'stateOfChargePct'] as const;

/** What a day's level is found from. */
export interface LevelDay {
  readonly part: DayPart;
  readonly facts: DayFacts;
  readonly clear: ClearDay | null;
  /** How the panels stood, or the first of them; null where that is not known. */
  readonly plane: Plane | null;
  /** A day that still runs says nothing of others: what is said of days that are over stays. */
  readonly over: boolean;
}

/** How far around a stretch days are needed. */
export const AROUND_MS = AROUND_DAYS * DAY_MS;

/** The answer gives the level of each of the days. @param days in order of time */
export function levelsOf(record: Pick<RecordQueries, 'means'>, station: string, days: readonly LevelDay[]): Level[] {
  const read = slotReader(record, station);
  const own = days.map(day => (day.clear === null ? null : dayLevel(slotsOf(read, day, day.clear))));
  const keys = days.map(({ facts }) => JSON.stringify([facts.panels, facts.place]));
  return days.map(({ part }, i) => {
    const around: DayLevel[] = [];
    const isNear = (k: number) => Math.abs(days[k]!.part.startMs - part.startMs) <= AROUND_MS;
    const take = (k: number) => {
      if (own[k] !== null && keys[k] === keys[i] && (k === i || days[k]!.over)) around.push(own[k]!);
    };
    for (let k = i; k >= 0 && isNear(k); k--) take(k);
    for (let k = i + 1; k < days.length && isNear(k); k++) take(k);
    return levelOf(own[i] ?? { level: null, cameW: 0, clearW: 0 }, around);
  });
}

type ReadSlots = (atMs: number) => { means: Means; first: number };

function slotReader(record: Pick<RecordQueries, 'means'>, station: string): ReadSlots {
  let held: { number: number; means: Means } | null = null;
  return atMs => {
    const number = Math.floor(atMs / STRETCH_MS);
    const fromMs = number * STRETCH_MS;
    if (held?.number !== number) {
      // Days begin in one stretch and end in the next.
      const toMs = fromMs + STRETCH_MS + 2 * DAY_MS;
      held = {
        number,
        means: record.means({ station, quantities: QUANTITIES, fromMs, toMs, stepMs: SLOT_MS, greatest: true }),
      };
    }
    return { means: held.means, first: Math.floor((atMs - fromMs) / SLOT_MS) };
  };
}

function slotsOf(read: ReadSlots, { part, facts }: LevelDay, clear: ClearDay): Slot[] {
  const { means, first } = read(part.startMs);
  const { solarPowerW: solar, inputPowerW: input, stateOfChargePct: charge } = means;
  const allSun = part.totals.solarMilliJ > 0 && part.totals.solarMilliJ === part.totals.inputMilliJ;
  const slots: Slot[] = [];
  for (let k = 0; (k + 1) * SLOT_MIN <= clear.powerW.length; k++) {
    let clearW = 0;
    for (let m = k * SLOT_MIN; m < (k + 1) * SLOT_MIN; m++) clearW += clear.powerW[m]! / SLOT_MIN;
    if (clearW <= 0) continue;
    const i = first + k;
    const told = solar?.mean[i] ?? Number.NaN;
    const cameW = Number.isNaN(told) && allSun ? (input?.mean[i] ?? Number.NaN) : told;
    const isHeld =
      (charge?.max[i] ?? 0) >= facts.ceilingPct - FULL_WITHIN_PCT ||
      (facts.portsMaxW !== null && (solar?.max[i] ?? 0) >= AT_LIMIT * facts.portsMaxW);
    slots.push({ cameW, clearW, open: !Number.isNaN(cameW) && !isHeld });
  }
  return slots;
}
