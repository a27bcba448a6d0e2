/**
 * Everything Plan says of one station and one list of loads, put together: what runs, for how long, whether the sun keeps
 * up, the smallest that would do with a paper worksheet beside it, and the hours of the wall. Energies Wh, powers W.
 */

import { lossShare, PORTABLE_LOSSES_PCT, UNKNOWN_POWER_PER_K } from '../../laws/pvwatts.ts';
import type { StandingPanels } from '../../ledger/clear-day.ts';
import type { SkyPlace } from '../../sky.ts';
import { type ClearMonth, clearMonths } from './clear-months.ts';
import type { Losses } from './converter.ts';
import { type MonthOutlook, meanOf, monthOutlook, type Smallest, smallest } from './keeping-up.ts';
import { lastingHours, needWh, type Range, type Stored } from './lasting.ts';
import { dayWh, type PlannedLoad, totalMeanW } from './planned-load.ts';
import { type PlanVerdict, planVerdict } from './verdicts.ts';
import { type RecordedWeek, type WallAdvice, wallAdvice } from './wall-worth.ts';
import { type RecordedDay, type Weather, weatherOf } from './weather.ts';
import { arrayW, batteryWh, PORTABLE_SHEET } from './worksheet.ts';

/** Share of the label between two states of charge, %, with the spread of what the gauge's unevenness adds. */
export interface Usable {
  fromPct: number;
  toPct: number;
  labelPct: number;
  sdPct: number;
}

export interface PlanBasis {
  ratedWh: number | null;
  continuousW: number | null;
  surgeW: number | null;
  wallCharge: { powerW: number } | null;
  solarMaxW: number | null;
  floorPct: number;
  ceilingPct: number;
  full: Usable;
  now: Usable | null;
  losses: Pick<Losses, 'mean' | 'covariance' | 'knownToW'> & { ticks: number };
  place: SkyPlace | null;
  panels: readonly {
    ratedW: number;
    tiltDeg: number | null;
    azimuthDeg: number | null;
    powerPerK: number | null;
  }[];
  days: readonly RecordedDay[];
  weeks: readonly RecordedWeek[];
  price: { perKWh: readonly number[] } | null;
  paid: number | null;
}

export interface PlanAsked {
  loads: readonly PlannedLoad[];
  dullDays: number;
  /** Kept for an outage, %. */
  reservePct: number;
  /** Year of the cloudless days. */
  year: number;
}

export interface Lasting {
  full: Range;
  /** As it is charged now; null where that is not known. */
  now: Range | null;
  /** From full with only what must stay on; null where that is none or all. */
  needed: Range | null;
}

export interface Worksheet {
  stationWh: number;
  /** null: no sun in the worst month. */
  panelW: number | null;
  /** Peak sun hours of that month's mean day. */
  sunHours: number;
}

export interface SunPlan {
  months: MonthOutlook[];
  /** null where the label is not told: what a day needs is not known either. */
  smallest: Smallest | null;
  worksheet: Worksheet;
  /** Whether the panels told are the ones reckoned with, or 100 W for want of any. */
  assumedPanels: boolean;
}

/** What a day of the list takes, at the outlets and from the battery. */
export interface DayUse {
  outletWh: number;
  need: Range;
}

/** For want of panels: so many watts facing the equator at the tilt of the latitude (common practice, no source). */
export const ASSUMED_PANEL_W = 100;
/** What the station is taken to charge with at a wall where neither told nor seen, share of its label an hour (own judgement). */
const ASSUMED_WALL_SHARE = 0.3;

export const lossesOf = ({ losses, continuousW }: PlanBasis): Losses => ({ ...losses, continuousW });

export const verdictOf = (basis: PlanBasis, loads: readonly PlannedLoad[]): PlanVerdict => planVerdict(loads, basis);

export function dayUse(basis: PlanBasis, loads: readonly PlannedLoad[]): DayUse {
  return { outletWh: dayWh(loads), need: needWh(loads, lossesOf(basis)) };
}

/** null where the label is not told. */
export function lastingOf(basis: PlanBasis, loads: readonly PlannedLoad[]): Lasting | null {
  const { ratedWh } = basis;
  if (ratedWh === null) return null;
  const losses = lossesOf(basis);
  const stored = ({ labelPct, sdPct }: Usable): Stored => ({
    energyWh: (Math.max(0, labelPct) * ratedWh) / 100,
    sdWh: (sdPct * ratedWh) / 100,
  });
  const needed = loads.filter(load => load.mustStayOn);
  const apart = needed.length > 0 && needed.length < loads.length;
  return {
    full: lastingHours(loads, losses, stored(basis.full)),
    now: basis.now === null ? null : lastingHours(loads, losses, stored(basis.now)),
    needed: apart ? lastingHours(needed, losses, stored(basis.full)) : null,
  };
}

/** A panel whose plane is not told is taken as flat. */
function standing({ panels, place }: PlanBasis & { place: SkyPlace }): StandingPanels[] {
  const behind = { lossShare: lossShare(PORTABLE_LOSSES_PCT) };
  if (panels.length === 0) {
    const { latitudeDeg } = place;
    const plane = { tiltDeg: Math.min(60, Math.abs(latitudeDeg)), azimuthDeg: latitudeDeg >= 0 ? 180 : 0 };
    return [{ peakW: ASSUMED_PANEL_W, powerPerK: UNKNOWN_POWER_PER_K, plane, ...behind }];
  }
  return panels.map(({ ratedW, tiltDeg, azimuthDeg, powerPerK }) => ({
    peakW: ratedW,
    powerPerK: powerPerK ?? UNKNOWN_POWER_PER_K,
    plane:
      tiltDeg === null || (azimuthDeg === null && tiltDeg > 0)
        ? { tiltDeg: 0, azimuthDeg: 0 }
        : { tiltDeg, azimuthDeg: azimuthDeg ?? 0 },
    ...behind,
  }));
}

/** The cloudless months of the panels; null without a place. They change with neither list nor weather. */
export const clearMonthsOf = (basis: PlanBasis, year: number): ClearMonth[] | null =>
  basis.place === null
    ? null
    : clearMonths(basis.place, standing({ ...basis, place: basis.place }), basis.solarMaxW, year);

/** @param clear of `clearMonthsOf` */
export function sunPlan(basis: PlanBasis, clear: readonly ClearMonth[], { loads, dullDays }: PlanAsked): SunPlan {
  const weathers = clear.map(({ month }) => weatherOf(basis.days, month));
  const need = dayUse(basis, loads).need.p50;
  const inWorth = basis.losses.mean[2];
  const usableShare = Math.max(0, basis.full.labelPct) / 100;
  const usableWh = usableShare * (basis.ratedWh ?? 0);
  const assumedPanels = basis.panels.length === 0;
  const ratedW = assumedPanels ? ASSUMED_PANEL_W : basis.panels.reduce((sum, p) => sum + p.ratedW, 0);
  const pairs = clear.map((month, i) => ({ clear: month, weather: weathers[i]! }));
  return {
    months: pairs.map(pair => monthOutlook(pair.clear, pair.weather, { needWh: need, inWorth, usableWh })),
    smallest: usableShare > 0 ? smallest(pairs, ratedW, { needWh: need, inWorth, dullDays, usableShare }) : null,
    worksheet: worksheetOf(pairs, dayWh(loads), dullDays),
    assumedPanels,
  };
}

function worksheetOf(
  pairs: readonly { clear: ClearMonth; weather: Weather }[],
  outletWh: number,
  dullDays: number,
): Worksheet {
  const hours = pairs.map(({ clear, weather }) => clear.sunHours * meanOf(weather.clearness));
  const sunHours = Math.min(...hours);
  const loadWhPerDay = outletWh;
  return {
    stationWh: batteryWh({ ...PORTABLE_SHEET, loadWhPerDay, autonomyDays: dullDays }),
    panelW: sunHours > 0 ? arrayW({ ...PORTABLE_SHEET, loadWhPerDay, sunHours }) : null,
    sunHours,
  };
}

export interface WallPlanTold extends WallAdvice {
  wallW: number;
  assumedWall: boolean;
}

/** null without a tariff or a label. */
export function wallPlanOf(
  basis: PlanBasis,
  { loads, reservePct }: Pick<PlanAsked, 'loads' | 'reservePct'>,
): WallPlanTold | null {
  const { ratedWh, price, losses } = basis;
  if (price === null || ratedWh === null) return null;
  const assumedWall = basis.wallCharge === null;
  const wallW = basis.wallCharge?.powerW ?? ASSUMED_WALL_SHARE * ratedWh;
  // What is kept is never lower than the floor, and percents are taken as even ones of what lies between.
  const keptPct = Math.max(reservePct, basis.floorPct);
  const { fromPct, toPct, labelPct } = basis.full;
  const share = fromPct > toPct ? Math.max(0, fromPct - keptPct) / (fromPct - toPct) : 0;
  const station = {
    usableWh: (share * Math.max(0, labelPct) * ratedWh) / 100,
    wallW,
    outCost: losses.mean[0],
    ownW: losses.mean[1],
    inWorth: losses.mean[2],
  };
  const usualLoadW = totalMeanW(loads);
  const { perKWh } = price;
  return {
    ...wallAdvice({ perKWh, weeks: basis.weeks, usualLoadW, station, ratedWh, paid: basis.paid }),
    wallW,
    assumedWall,
  };
}
