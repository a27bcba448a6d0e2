/** Answers of Outlast: one of a station that has said too little, and one of an evening at the honey shed. */
import type { OutlastAnswer, WireJudged, WireLoad } from '#messages';
import { EVENING_AT } from './honey-shed.ts';

const HOUR = 3_600_000;
const iso = (at: number) => new Date(at).toISOString();
const hoursOn = (hours: number) => iso(EVENING_AT + hours * HOUR);

export const nothingToSay = (): OutlastAnswer => ({
  station: 'shed',
  madeAt: iso(EVENING_AT),
  untilAt: hoursOn(10),
  floorPct: 10,
  why: 'noHistory',
  early: true,
  onMains: false,
  doubts: [],
  stateOfChargePct: null,
  chances: null,
  dots: [],
  stopsAt: null,
  lowest: null,
  likely: null,
  skyFrom: 'place',
  recordedMin: 0,
  loads: [],
  own: null,
  steps: [],
  budget: null,
  added: [],
  days: [],
  tomorrow: { missing: 'place', good: null, poor: null },
  together: null,
  score: { held: 0, of: 0 },
});

const load = (over: Partial<WireLoad>): WireLoad => ({
  kind: 'steady',
  name: null,
  mustStayOn: false,
  powerW: 20,
  meanW: 20,
  duty: 1,
  cycleMin: null,
  on: true,
  sinceAt: hoursOn(-4),
  lastAt: hoursOn(0),
  without: { chances: 7, addsMin: 140 },
  half: { chances: 4, addsMin: 60 },
  quietMin: null,
  ...over,
});

/** A freezer that must stay on, a warmer, lamp and router: one chance in twenty to last until 07:00. */
export const eveningOutlast = (over: Partial<OutlastAnswer> = {}): OutlastAnswer => ({
  ...nothingToSay(),
  why: 'ok',
  early: false,
  stateOfChargePct: 48.2,
  chances: 1,
  dots: [3, 4.1, 4.6, 5, 5, 5.4, 5.5, 5.6, 6, 6.1, 6.5, 6.6, 7, 7.1, 7.4, 7.6, 8, 8.6, 9.1, 10.1].map(hoursOn),
  stopsAt: hoursOn(8.2),
  likely: { lowW: 58, middleW: 68, highW: 81 },
  recordedMin: 1440,
  loads: [
    load({
      kind: 'cycling',
      name: 'Chest freezer',
      mustStayOn: true,
      powerW: 97,
      meanW: 33,
      duty: 0.34,
      cycleMin: 50,
      without: null,
      half: null,
    }),
    load({ name: 'Honey warmer', powerW: 22, meanW: 22, without: { chances: 7, addsMin: 170 } }),
    load({ kind: 'rest', powerW: 19, meanW: 19, without: { chances: 5, addsMin: 140 } }),
  ],
  own: { powerW: 12, sdW: 2.1, ticks: 64, outletsOff: false, offW: 3 },
  steps: [{ names: ['Honey warmer'], powersW: [22], chances: 7 }],
  budget: { chances: 18, powerW: 31 },
  added: [
    { source: 'generator', powerW: 720, assumed: false, minutes: 40 },
    { source: 'vehicle', powerW: 100, assumed: true, minutes: 290 },
    { source: 'wall', powerW: 500, assumed: true, minutes: 58 },
  ],
  days: Array.from({ length: 7 }, (_, i) => ({
    date: iso(EVENING_AT + i * 24 * HOUR).slice(0, 10),
    sky: null,
    sunWh: i === 0 ? 0 : 640,
    chances: i === 0 ? 18 : 1,
    endPct: i === 0 ? 30 : 9,
  })),
  tomorrow: { missing: null, good: { sunWh: 900, chances: 1 }, poor: { sunWh: 210, chances: 1 } },
  score: { held: 33, of: 40 },
  ...over,
});

/** A month judged: ranges of three hours and beyond eight, no discharge down to the floor. */
export const monthJudged = (over: Partial<WireJudged> = {}): WireJudged => ({
  madeAt: iso(EVENING_AT),
  fromAt: iso(EVENING_AT - 30 * 24 * HOUR),
  toAt: iso(EVENING_AT),
  ranges: { of: 188, held: 153, medianErrorPct: 24.9, plainErrorPct: 176.6 },
  byHorizon: [
    { upToMin: 60, of: 0, held: 0, medianErrorPct: null, plainErrorPct: null },
    { upToMin: 180, of: 63, held: 50, medianErrorPct: 19.4, plainErrorPct: 188.9 },
    { upToMin: 480, of: 0, held: 0, medianErrorPct: null, plainErrorPct: null },
    { upToMin: null, of: 43, held: 36, medianErrorPct: 35.6, plainErrorPct: 171.2 },
  ],
  floor: null,
  full: null,
  ...over,
});
