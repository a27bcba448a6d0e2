/** Planned loads, losses and what Plan is told at the honey shed, for tests of Plan. */
import type { Losses } from '#energy/estimates/plan/converter';
import type { PlannedLoad } from '#energy/estimates/plan/planned-load';
import type { PlanAnswer } from '#messages';
import { EVENING_AT } from './honey-shed.ts';

export const planned = (name: string, powerW: number, more: Partial<PlannedLoad> = {}): PlannedLoad => ({
  name,
  powerW,
  startFactor: 1,
  hoursPerDay: 24,
  count: 1,
  mustStayOn: false,
  ...more,
});

/** As believed from the label alone. */
export const labelLosses = (over: Partial<Losses> = {}): Losses => ({
  mean: [1.11, 11, 0.95],
  covariance: [(1.11 * 0.06) ** 2, 0, 0, 0, (11 * 0.4) ** 2, 0, 0, 0, (0.95 * 0.05) ** 2],
  knownToW: null,
  continuousW: null,
  ...over,
});

/** Known to the watt. */
export const exactLosses = (outCost: number, ownW: number, over: Partial<Losses> = {}): Losses => ({
  mean: [outCost, ownW, 0.95],
  covariance: new Array<number>(9).fill(0),
  knownToW: null,
  continuousW: null,
  ...over,
});

/** Dear from 07:00 to 22:00, cheap at night. */
const NIGHT_AND_DAY = Array.from({ length: 168 }, (_, h) => (h % 24 >= 7 && h % 24 < 22 ? 0.42 : 0.14));
const DULL_TO_CLEAR = [0.18, 0.31, 0.36, 0.44, 0.52, 0.58, 0.63, 0.71, 0.78, 0.84, 0.9, 0.97];

/** A freezer, a warmer, lamp and router; a place at 45°, three panels, a record of one autumn. */
export const shedPlan = (over: Partial<PlanAnswer> = {}): PlanAnswer => ({
  station: 'shed',
  madeAt: new Date(EVENING_AT).toISOString(),
  zone: 'Europe/Rome',
  simulated: false,
  plan: {
    load: [
      { name: 'Chest freezer', powerW: 97, startFactor: 7, hoursPerDay: 8.2, count: 1, mustStayOn: true },
      { name: 'Lamp and router', powerW: 19, startFactor: 1, hoursPerDay: 24, count: 1, mustStayOn: false },
      { name: 'Honey extractor', powerW: 550, startFactor: 4, hoursPerDay: 0.5, count: 1, mustStayOn: false },
    ],
    dullDays: 1.5,
  },
  seen: [
    { name: 'Chest freezer', powerW: 97, duty: 0.34, mustStayOn: true },
    { name: null, powerW: 22, duty: 1, mustStayOn: false },
  ],
  ratedWh: 1500,
  continuousW: 1200,
  surgeW: 2400,
  wallCharge: { powerW: 500, from: 'told' },
  solarMaxW: 400,
  floorPct: 10,
  ceilingPct: 100,
  full: { fromPct: 100, toPct: 10, labelPct: 91, sdPct: 1.2 },
  now: { fromPct: 48, toPct: 10, labelPct: 38, sdPct: 0.9 },
  losses: {
    mean: [1.1, 12, 0.94],
    covariance: [(1.1 * 0.02) ** 2, 0, 0, 0, 1.2 ** 2, 0, 0, 0, (0.94 * 0.03) ** 2],
    ticks: 420,
    knownToW: 190,
  },
  place: { latitudeDeg: 45.5, longitudeDeg: 9, altitudeM: 120, turbidity: 3 },
  panels: [{ ratedW: 300, tiltDeg: 40, azimuthDeg: 170, powerPerK: null }],
  days: ['08', '09', '10'].flatMap(month =>
    DULL_TO_CLEAR.map((clearness, i) => ({ date: `2026-${month}-${String(i + 3).padStart(2, '0')}`, clearness })),
  ),
  weeks: [0.9, 1, 1.05, 1.2].map(by => ({
    loadW: Array.from({ length: 168 }, () => 64 * by),
    sunW: Array.from({ length: 168 }, (_, h) => (h % 24 >= 9 && h % 24 < 16 ? 60 / by : 0)),
  })),
  price: { currency: 'EUR', perKWh: NIGHT_AND_DAY },
  paid: 700,
  ...over,
});
