/**
 * The demo: a beekeeper's honey shed with a power station and three folding panels in series, at an invented place. Its clock is
 * the user's own zone, its longitude follows from that zone, its latitude is about 35° in whichever hemisphere is not
 * in winter: local noon is bright on the user's own clock on any date. Every figure here is made up.
 */

import { FIRST_SPOT, type SpotId, shedSpot } from './honey-shed-spots.ts';
import { civilDays } from './plant/civil-days.ts';
import { FOLDING } from './plant/light/cell-temperature.ts';
import type { SkyAt } from './plant/light/sky.ts';
import { createCabinet } from './plant/loads/cabinet.ts';
import { createExtractor } from './plant/loads/extractor.ts';
import { createFridge } from './plant/loads/fridge.ts';
import { createKettle } from './plant/loads/kettle.ts';
import { createLamp } from './plant/loads/lamp.ts';
import type { Load } from './plant/loads/load.ts';
import { createRouter } from './plant/loads/router.ts';
import { createPlant, type Plant, type StationFacts } from './plant/station.ts';
import type { Place } from './plant/sun.ts';

export const SHED_NAME = 'Honey shed';
export const SHED_SEED = 5;
/** State of charge at the start of the three weeks, %. */
export const SHED_START_PCT = 64;
const LATITUDE_DEG = 34.6;

export const shedLoads = (seed: number): readonly Load[] => [
  createFridge(seed),
  createKettle(seed),
  createExtractor(seed),
  createCabinet(seed),
  createLamp(seed),
  createRouter(seed),
];

/**
 * The invented folding panel: 22.4 V open, 5.1 A short, 18.6 V and 4.84 A at its best, −0.31 %/K open-circuit voltage.
 * Its five parameters meet these figures (five equations, solved once); its power then falls by 0.37 %/K, where its
 * label says 0.36.
 */
export const PANEL_DIODE = {
  lightA: 5.10142539,
  saturationA: 2.678867e-11,
  idealityV: 0.862618813,
  seriesOhm: 0.240084844,
  shuntOhm: 859.01304,
  shortCircuitAPerK: 0.00255,
} as const;

const PANEL_LABEL = {
  ratedW: 90,
  openCircuitV: 22.4,
  shortCircuitA: 5.1,
  maxPowerV: 18.6,
  maxPowerA: 4.84,
  openCircuitPctPerK: -0.31,
  powerPctPerK: -0.36,
  maxSeriesFuseA: 10,
  build: 'folding',
} as const;

const PANEL_NAMES = ['Left panel', 'Middle panel', 'Right panel'] as const;
const COLDEST_C = -15;
const HOTTEST_C = 38;

/** The station's facts at a place, its panels standing at a spot of the yard. */
export function shedFacts(place: Place, spot: SpotId = FIRST_SPOT): StationFacts {
  const { tiltDeg, azimuthDeg, shade } = shedSpot(place, spot);
  return {
    pack: {
      ratedWh: 1640,
      cells: 16,
      capacityAh: 30.6,
      resistanceOhm: 0.07,
      overvoltageV: 0.012,
      coulombShare: 0.995,
      maxChargeA: 14.5,
      maxDischargeA: 36,
    },
    gauge: { chargeGain: 0.98, dischargeGain: 1, blindA: 0.04, rounding: 'round' },
    converter: { idleW: 12, p1: 1.052, p2: 2e-5, maxW: 1450, surgeW: 2600 },
    array: {
      panels: PANEL_NAMES.map((name, k) => ({
        name,
        ratedW: PANEL_LABEL.ratedW,
        tiltDeg,
        azimuthDeg,
        diode: PANEL_DIODE,
        rows: 2,
        bypassV: 0.5,
        alongM: (k - 1) * 1.15,
        widthM: 1.1,
        mounting: FOLDING,
      })),
      strings: [PANEL_NAMES],
    },
    shade,
    solarPort: { name: 'Solar port', maxW: 400, maxA: 9, minV: 16, maxV: 82 },
    trackerShare: 0.965,
    chargerMaxW: 410,
    chargerShare: 0.91,
    dcShare: 0.92,
    housekeepingW: 1.6,
    lowCutoffPct: 4,
    switchOnPct: 14,
    nightSaving: { belowPct: 46, bedtimeMinute: 1310, morningMinute: 415 },
  };
}

/** Invented place whose noon is the zone's noon and whose season, at `ms`, is not winter. */
export function shedPlace(zone: string, ms: number): Place {
  const date = new Date(ms);
  const { offsetMs } = civilDays(zone);
  const year = date.getUTCFullYear();
  // Standard time is the smaller offset of January and July.
  const standardMs = Math.min(offsetMs(Date.UTC(year, 0, 15)), offsetMs(Date.UTC(year, 6, 15)));
  const longitudeDeg = (((standardMs / 3_600_000) * 15 + 540) % 360) - 180;
  const month = date.getUTCMonth();
  const northern = month >= 3 && month <= 8;
  return { latitudeDeg: northern ? LATITUDE_DEG : -LATITUDE_DEG, longitudeDeg };
}

export interface ShedOptions extends Place {
  readonly seed: number;
  readonly zone: string;
  readonly startMs: number;
  readonly startPct: number;
  readonly mains?: boolean;
  /** Where the panels stand at the start. */
  readonly spot?: SpotId;
  /** A measured sky instead of the drawn one. */
  readonly sky?: SkyAt;
}

/** The shed's plant. */
export const createShed = (o: ShedOptions): Plant =>
  createPlant({ ...o, facts: shedFacts(o, o.spot), loads: shedLoads });

/** What the owner named by what it draws; lamp and router still have no name. */
const SHED_NAMES = [
  { name: 'Fridge', powerW: 57, mustStayOn: true },
  { name: 'Warming cabinet', powerW: 78, mustStayOn: false },
  { name: 'Honey extractor', powerW: 165, mustStayOn: false },
];

/** What the owner thinks of running there. */
const SHED_PLAN = [
  { name: 'Fridge', powerW: 57, startFactor: 8, hoursPerDay: 10.8, count: 1, mustStayOn: true },
  { name: 'Lamp and router', powerW: 19, startFactor: 1, hoursPerDay: 14, count: 1, mustStayOn: false },
  { name: 'Warming cabinet', powerW: 78, startFactor: 1, hoursPerDay: 6.4, count: 1, mustStayOn: false },
  { name: 'Honey extractor', powerW: 165, startFactor: 3, hoursPerDay: 0.7, count: 1, mustStayOn: false },
  { name: 'Wax melter', powerW: 1300, startFactor: 1, hoursPerDay: 0.5, count: 1, mustStayOn: false },
];

/** What station and panels cost, in the currency of the demo's tariff: invented. */
const PAID = 720;
const PANELS_PAID = 180;

/** The station as its owner would write it down, in the words of the settings file. */
export function describeShed(zone: string, place: Place) {
  const facts = shedFacts(place);
  const { tiltDeg, azimuthDeg } = facts.array.panels[0]!;
  return {
    name: SHED_NAME,
    ratedWh: facts.pack.ratedWh,
    paid: PAID,
    reserveFloorPct: 15,
    chargeCeilingPct: 100,
    lowCutoffPct: facts.lowCutoffPct,
    inputSource: 'sun',
    continuousW: facts.converter.maxW,
    surgeW: facts.converter.surgeW,
    wallChargeW: facts.chargerMaxW,
    idleW: facts.converter.idleW + facts.housekeepingW,
    solarPort: [{ ...facts.solarPort, overCurrentAllowed: false, lead: { lengthM: 5, conductorMm2: 4, plugA: 15 } }],
    panel: [
      { name: 'Folding panels', ...PANEL_LABEL, count: PANEL_NAMES.length, tiltDeg, azimuthDeg, paid: PANELS_PAID },
    ],
    load: SHED_NAMES,
    plan: { load: SHED_PLAN, dullDays: 2 },
    place: { ...place, coldestC: COLDEST_C, hottestC: HOTTEST_C },
    zone,
  };
}
