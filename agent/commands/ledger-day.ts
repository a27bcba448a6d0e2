/**
 * One day of the Ledger: yields, what held the panels back, where the rest of the clear sky's energy went, what the
 * harvest was worth, and its row of the carpet. Pure over the day's totals, its facts and its minutes.
 *
 * Final and reference yield are of all recorded time. The performance ratio leaves out, of energy and of light alike, the
 * minutes in which a full battery or a port held the panels back and those in which they were not out: there it would say
 * nothing of the panels. Where nothing measures light the reference is a cloudless sky, so that on a cloudy day the ratio
 * says more of clouds than of panels.
 */
import { MILLIJ_PER_WH } from '#energy/integrate';
import { byHour, carpetRow, wallMinutes } from '#energy/ledger/carpet';
import { type ClearDay, energyWh, MINUTE_MS } from '#energy/ledger/clear-day';
import { AT_PORT, FREE, FULL } from '#energy/ledger/day-minutes';
import type { Level } from '#energy/ledger/own-level';
import { whereItWent } from '#energy/ledger/where-it-went';
import { performanceRatio, referenceYieldH, yieldH } from '#energy/yields';
import type { DayTotals, LedgerDay, TariffSettings } from '#messages';
import { encodeDay, toInstant } from '../server/encode.ts';
import type { DayFacts } from './ledger-facts.ts';
import { heldMinutes } from './ledger-held.ts';
import { joined, knownIn, type RecordedMinutes, sunMinutes } from './ledger-minutes.ts';
import { dayWorth } from './ledger-worth.ts';

/** Less sun than this gives no ratio worth a number, hours. */
const LEAST_REFERENCE_H = 0.1;
/** At the edges of clouds and of the day measured light may be this much of the clear sky's. */
const MOST_LIGHT = 1.5;
/** Shares this near to all are all: readings do not come on the stroke of a minute. */
const AS_GOOD_AS_ALL = 0.995;

export interface DayAsked {
  readonly totals: DayTotals;
  /** The part of the day that is its own, where the zone was changed on it. */
  readonly startMs: number;
  readonly endMs: number;
  readonly facts: DayFacts;
  /** null where panels, their plane or the place is not known. */
  readonly clear: ClearDay | null;
  readonly level: Level;
  readonly minutes: RecordedMinutes;
  /** What the station said to hold it back, by the codes of `RecordQueries.limits`; null where it does not. */
  readonly limits: Uint8Array | null;
  /** 1 in minutes in which the panels were not out. */
  readonly away: Uint8Array;
  /** Share of the light that what stands around them lets through; null where nothing is known to be in the way. */
  readonly through: Float64Array | null;
  readonly tariff: TariffSettings | null;
  /** What the station's own counters say of it. */
  readonly counted: LedgerDay['counted'];
  readonly nowMs: number;
}

export interface DayAnswer {
  readonly day: LedgerDay;
  /** Mean watts by the wall clock. */
  readonly row: (number | null)[];
  /** Share of the reference yield that fell while a full battery or a port held the panels back, %. */
  readonly heldBackPct: number | null;
  /** What the performance ratio is made of, hours: sums of them give that of many days. */
  readonly open: { readonly finalH: number; readonly referenceH: number };
}

export function dayAnswer(asked: DayAsked): DayAnswer {
  const { totals, facts, clear, tariff, minutes, nowMs } = asked;
  const count = minutes.solarW.length;
  const sunW = sunMinutes(minutes, totals);
  const wall = wallMinutes(asked.startMs, count, totals.zone, isPlainDay(asked));
  const harvestWh = totals.solarMilliJ / MILLIJ_PER_WH;
  const seen = seenOf(asked, sunW);
  const yields = clear === null ? NO_YIELDS : yieldsOf(asked, clear, seen);
  const heldMin = heldInSun(asked, seen);
  const day: LedgerDay = {
    ...encodeDay(totals, nowMs),
    startAt: toInstant(asked.startMs),
    endAt: toInstant(asked.endMs),
    ratedW: facts.ratedW,
    clearSkyWh: clear === null ? null : milli(energyWh(clear.powerW)),
    finalYieldH: facts.ratedW === null ? null : yieldH(harvestWh, facts.ratedW),
    referenceYieldH: yields.referenceH,
    referenceFrom: yields.from,
    performanceRatio: yields.ratio,
    openReferenceYieldH: clear === null ? null : yields.open.referenceH,
    fullMin: heldMin.full,
    portLimitMin: heldMin.atPort,
    whereItWent: clear === null ? null : whereOf(asked, clear, seen),
    worth: tariff === null ? null : dayWorth(tariff, totals, byHour(sunW, wall)),
    counted: asked.counted,
  };
  return { day, row: carpetRow(sunW, wall), heldBackPct: yields.heldBackPct, open: yields.open };
}

/** The day's minutes, made whole. */
interface Seen {
  readonly sunW: Float64Array;
  readonly held: Uint8Array;
  /** Share of the minutes with watts from the sun that the day's totals cover. */
  readonly covered: number;
  /** Measured light; null where there is none all day. */
  readonly planeWm2: Float64Array | null;
}

const seenOf = ({ totals, facts, minutes, limits }: DayAsked, sunW: Float64Array): Seen => ({
  sunW,
  held: heldMinutes(facts, minutes, sunW, limits),
  covered: coveredShare(totals, sunW),
  planeWm2: minutes.planeWm2 === null || knownIn(minutes.planeWm2) === 0 ? null : joined(minutes.planeWm2),
});

const DAY_MS = 86_400_000;
/** A whole day without a change of clocks: its first minute is midnight. */
const isPlainDay = ({ totals, startMs, endMs }: DayAsked): boolean =>
  startMs === totals.startMs && endMs === totals.endMs && endMs - startMs === DAY_MS;

const milli = (wh: number): number => Math.round(wh * 1000) / 1000;

/** Minutes of sun in which a full battery or a port held the panels back; by the watts that came where no sky is known. */
function heldInSun({ clear }: DayAsked, { sunW, held }: Seen): { full: number; atPort: number } {
  const lit = clear === null ? sunW : clear.powerW;
  let [full, atPort] = [0, 0];
  for (let m = 0; m < held.length; m++) {
    if (!(lit[m]! > 0)) continue;
    if (held[m] === FULL) full++;
    else if (held[m] === AT_PORT) atPort++;
  }
  return { full, atPort };
}

function coveredShare({ solarMilliJ, coveredMs }: DayTotals, sunW: Float64Array): number {
  let [wattMin, shown] = [0, 0];
  for (const watts of sunW) {
    if (Number.isNaN(watts)) continue;
    wattMin += watts;
    shown++;
  }
  if (shown === 0) return 0;
  // The sun's own energy says it best; where there was none, time does.
  const share = wattMin >= 60 ? solarMilliJ / (wattMin * MINUTE_MS) : coveredMs / (shown * MINUTE_MS);
  return share >= AS_GOOD_AS_ALL ? 1 : share;
}

interface Yields {
  referenceH: number | null;
  from: LedgerDay['referenceFrom'];
  ratio: number | null;
  heldBackPct: number | null;
  open: DayAnswer['open'];
}
const NOTHING_OPEN = { finalH: 0, referenceH: 0 };
const NO_YIELDS: Yields = { referenceH: null, from: null, ratio: null, heldBackPct: null, open: NOTHING_OPEN };

function yieldsOf(asked: DayAsked, clear: ClearDay, { sunW, held, covered, planeWm2 }: Seen): Yields {
  const { facts, away, totals } = asked;
  const measured = measuredThrough(sunW, planeWm2);
  const light = measured ?? clear.planeWm2;
  const sums = { all: 0, held: 0, open: 0, openW: 0, allW: 0 };
  for (let m = 0; m < sunW.length; m++) {
    if (Number.isNaN(sunW[m]!)) continue;
    sums.all += light[m]!;
    sums.allW += sunW[m]!;
    if (held[m] !== FREE) sums.held += light[m]!;
    if (held[m] !== FREE || away[m] === 1) continue;
    sums.open += light[m]!;
    sums.openW += sunW[m]!;
  }
  const hours = (sum: number) => referenceYieldH((sum * covered) / 60_000);
  const harvestWh = totals.solarMilliJ / MILLIJ_PER_WH;
  // Minutes say how the day's energy was spread, its totals how much there was.
  const openWh = sums.allW > 0 ? (harvestWh * sums.openW) / sums.allW : 0;
  const open = {
    finalH: facts.ratedW === null ? 0 : yieldH(openWh, facts.ratedW),
    referenceH: facts.ratedW === null ? 0 : hours(sums.open),
  };
  return {
    referenceH: hours(sums.all),
    from: measured === null ? 'clear sky' : 'measured',
    ratio: open.referenceH < LEAST_REFERENCE_H ? null : performanceRatio(open.finalH, open.referenceH),
    heldBackPct: sums.all > 0 ? (100 * sums.held) / sums.all : null,
    open,
  };
}

/** The measured light, where there is some in every recorded minute. */
const measuredThrough = (sunW: Float64Array, planeWm2: Float64Array | null): Float64Array | null => {
  if (planeWm2 === null) return null;
  let seen = 0;
  for (let m = 0; m < sunW.length; m++) {
    if (Number.isNaN(sunW[m]!)) continue;
    if (Number.isNaN(planeWm2[m]!)) return null;
    seen++;
  }
  return seen > 0 ? planeWm2 : null;
};

function whereOf(asked: DayAsked, clear: ClearDay, { sunW, held, covered, planeWm2 }: Seen) {
  const { away, through, level, totals, nowMs, startMs } = asked;
  const harvestWh = totals.solarMilliJ / MILLIJ_PER_WH;
  // Totals of minutes that nothing tells any more cannot be split.
  if (harvestWh > 0 && !sunW.some(watts => watts > 0)) return null;
  const passed = Math.min(sunW.length, Math.max(0, Math.ceil((nowMs - startMs) / MINUTE_MS)));
  return whereItWent(
    {
      clearW: clear.powerW,
      sunW,
      held,
      away,
      through,
      lightShare: planeWm2?.map((wm2, m) => Math.min(MOST_LIGHT, wm2 / clear.planeWm2[m]!)) ?? null,
      passed,
    },
    { harvestWh, covered, level: level.level, usualSky: level.usualSky },
  );
}
