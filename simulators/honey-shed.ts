/**
 * The demo: a beekeeper's honey shed with a power station and two folding panels, at an invented place. Its clock is
 * the user's own zone, its longitude follows from that zone, its latitude is about 35° in whichever hemisphere is not
 * in winter: local noon is bright on the user's own clock on any date. Every figure here is made up.
 */

import { civilDays } from './plant/civil-days.ts';
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

/** The station's facts at a place: the panels face the equator. */
export function shedFacts(place: Place): StationFacts {
  const equator = place.latitudeDeg >= 0 ? 180 : 0;
  const panel = { ratedW: 145, gammaPerK: -0.0038, mppV: 21.3 };
  return {
    pack: {
      ratedWh: 1640,
      usableShare: 0.97,
      maxChargeW: 760,
      chargeEfficiency: 0.982,
      dischargeEfficiency: 0.982,
      cells: 14,
      resistanceOhm: 0.035,
    },
    converter: { idleW: 12, p1: 1.065, p2: 8e-6, maxW: 1450 },
    panels: [
      { name: 'Bench panel', tiltDeg: 28, azimuthDeg: (equator + 352) % 360, ...panel },
      { name: 'Hive panel', tiltDeg: 20, azimuthDeg: (equator + 14) % 360, ...panel },
    ],
    tree: { azimuthDeg: 268, halfWidthDeg: 24, topDeg: 27, domeShare: 0.05 },
    solarPortMaxW: 225,
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
}

/** The shed's plant. */
export const createShed = (o: ShedOptions): Plant => createPlant({ ...o, facts: shedFacts(o), loads: shedLoads });

/** What the owner named by what it draws; lamp and router still have no name. */
const SHED_NAMES = [
  { name: 'Fridge', powerW: 57, mustStayOn: true },
  { name: 'Warming cabinet', powerW: 78, mustStayOn: false },
  { name: 'Honey extractor', powerW: 165, mustStayOn: false },
];

/** What the label of either panel says beside its watts. */
const SHED_DATASHEET = {
  openCircuitV: 25.6,
  shortCircuitA: 6.95,
  maxPowerV: 21.3,
  maxPowerA: 6.81,
  openCircuitPctPerK: -0.31,
  powerPctPerK: -0.38,
  maxSeriesFuseA: 15,
  build: 'folding',
};

/** The station as its owner would write it down, in the words of the settings file. */
export function describeShed(zone: string, place: Place) {
  const facts = shedFacts(place);
  return {
    name: SHED_NAME,
    ratedWh: facts.pack.ratedWh,
    reserveFloorPct: 15,
    chargeCeilingPct: 100,
    lowCutoffPct: facts.lowCutoffPct,
    inputSource: 'sun',
    solarPort: [{ name: 'Solar port', minV: 16, maxV: 82, maxA: 9, maxW: facts.solarPortMaxW }],
    panel: facts.panels.map(({ name, ratedW, tiltDeg, azimuthDeg }) => ({
      name,
      ratedW,
      count: 1,
      tiltDeg,
      azimuthDeg,
      ...SHED_DATASHEET,
    })),
    load: SHED_NAMES,
    place: { ...place, coldestC: -15, hottestC: 38 },
    zone,
  };
}
