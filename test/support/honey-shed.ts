/**
 * One invented evening at a honey shed, as the agent would tell it: a fridge that cycles, a kettle twice, a cloudy day
 * of sun, 52 % left at 20:00. Everything is a pure function of time; figures are round on purpose.
 */
import type { SeriesAnswer, WireDay, WireProjection, WireReading, WireStation, WireStatus, WireTally } from '#messages';

const MINUTE = 60_000;
const HOUR = 3_600_000;
/** 20:00 of an autumn Sunday in the shed's zone (UTC+1). */
export const EVENING_AT = Date.UTC(2026, 10, 8, 19, 0);
export const ZONE = 'Europe/Rome';
export const PLACE = { latitudeDeg: 45.5, longitudeDeg: 9 };
const iso = (ms: number) => new Date(ms).toISOString();

export const shedStation = (change: Partial<WireStation> = {}): WireStation => ({
  id: 'shed',
  name: 'Honey shed',
  adapter: 'lines',
  transport: 'process',
  simulated: true,
  zone: ZONE,
  ratedWh: 1500,
  reserveFloorPct: 10,
  chargeCeilingPct: 100,
  lowCutoffPct: 1,
  solarMaxW: 400,
  gives: ['inputPowerW', 'outputPowerW', 'stateOfChargePct'],
  inputSource: 'sun',
  place: PLACE,
  ...change,
});

export const shedStatus = (change: Partial<WireStatus> = {}): WireStatus => ({
  station: 'shed',
  phase: 'live',
  attempt: 0,
  attemptsAllowed: 10,
  nextTryInMs: null,
  staleAfterMs: 5000,
  link: '/dev/ttyUSB0',
  accepted: 1200,
  rejected: {},
  ...change,
});

export const shedReading = (change: Partial<WireReading> = {}): WireReading => ({
  station: 'shed',
  session: 's1',
  seq: 1,
  at: iso(EVENING_AT - 400),
  clock: 'synced',
  quantities: { inputPowerW: 0, outputPowerW: 41, stateOfChargePct: 52 },
  states: { inputSource: 'sun' },
  quality: 'good',
  reasons: {},
  ...change,
});

/** Coming in, W, by hours since midnight: two clear spells in a grey day. */
function inputW(hour: number): number {
  if (hour < 7.3 || hour > 16.8) return 0;
  const height = Math.sin(((hour - 7.2) / 9.7) * Math.PI);
  const clear = (hour > 10.65 && hour < 11.5) || (hour > 12.5 && hour < 13.6);
  return Math.round((clear ? 335 : hour > 14.5 ? 90 : 130) * height);
}

/** Going out, W: a fridge of 100 W a quarter of the hour, the router, the lamp from 17:00, a kettle at 12:10 and 16:20. */
function outputW(hour: number): number {
  const minute = (hour * 60) % 52;
  const fridge = minute < 14 ? 95 : 0;
  const kettle = Math.abs(hour - 12.18) < 0.03 || Math.abs(hour - 16.36) < 0.03 ? 1740 : 0;
  return 22 + fridge + kettle + (hour > 17 ? 19 : 0);
}

/** Level, %, at an instant: what came and went since the evening before, ending at 52 %. */
function levels(fromMs: number, steps: number): number[] {
  const flow = (t: number) => {
    const hour = ((t + HOUR) % (24 * HOUR)) / HOUR;
    return ((inputW(hour) * 0.93 - outputW(hour) * 1.02 - 10) / 1500) * (100 / 60);
  };
  const out: number[] = [];
  let level = 52;
  for (let t = EVENING_AT - MINUTE; t >= fromMs; t -= MINUTE) {
    out.unshift(level);
    level -= flow(t);
  }
  return out.slice(0, steps).map(v => Math.round(Math.min(100, Math.max(1, v)) * 10) / 10);
}

/** The record's answer for a stretch, one bucket a minute; nothing in `gap`, nor after the evening. */
export function shedSeries(
  fromMs: number,
  toMs: number,
  gap: { fromMs: number; toMs: number } | null = null,
): SeriesAnswer {
  const startMs = Math.floor(fromMs / MINUTE) * MINUTE;
  const count = Math.max(0, Math.ceil((Math.min(toMs, EVENING_AT) - startMs) / MINUTE));
  const level = levels(startMs, count);
  const column = (valueAt: (i: number, hour: number) => number) => {
    const cells = Array.from({ length: count }, (_, i) => {
      const t = startMs + i * MINUTE;
      if (gap !== null && t >= gap.fromMs && t < gap.toMs) return null;
      return valueAt(i, ((t + HOUR) % (24 * HOUR)) / HOUR);
    });
    return { min: cells, mean: cells, max: cells };
  };
  return {
    station: 'shed',
    startAt: iso(startMs),
    stepMs: MINUTE,
    count,
    columns: {
      stateOfChargePct: column(i => level[i] ?? 52),
      inputPowerW: column((_, hour) => inputW(hour)),
      outputPowerW: column((_, hour) => outputW(hour)),
    },
  };
}

const FAN_RATES = { p5: 1.62, p10: 1.44, p25: 1.19, p50: 1, p75: 0.88, p90: 0.77, p95: 0.7 } as const;
/** Percent an hour the level falls in the middle case. */
const FALL_PCT_PER_H = 5.86;

export function shedProjection(change: Partial<WireProjection> = {}, fromPct = 52): WireProjection {
  const stepMs = 10 * MINUTE;
  const along = (rate: number) =>
    Array.from({ length: 73 }, (_, i) => Math.max(1, fromPct - (FALL_PCT_PER_H * rate * i) / 6));
  return {
    station: 'shed',
    madeAt: iso(EVENING_AT),
    toward: 'empty',
    why: 'ok',
    early: false,
    doubts: [],
    onMains: false,
    floorPct: 10,
    ceilingPct: 100,
    emptyAt: {
      p10: iso(EVENING_AT + 5.36 * HOUR),
      p50: iso(EVENING_AT + 7.17 * HOUR),
      p90: iso(EVENING_AT + 9.42 * HOUR),
    },
    stopsAt: { p10: iso(EVENING_AT + 6.6 * HOUR), p50: iso(EVENING_AT + 9 * HOUR), p90: iso(EVENING_AT + 11.8 * HOUR) },
    fullAt: null,
    byLabel: null,
    leftWh: 599,
    quantiles: [],
    fan: {
      startAt: iso(EVENING_AT),
      stepMs,
      p5: along(FAN_RATES.p5),
      p10: along(FAN_RATES.p10),
      p25: along(FAN_RATES.p25),
      p50: along(FAN_RATES.p50),
      p75: along(FAN_RATES.p75),
      p90: along(FAN_RATES.p90),
      p95: along(FAN_RATES.p95),
    },
    windows: [
      { minutes: 15, inputW: 0, outputW: 58, coverage: 1 },
      { minutes: 60, inputW: 0, outputW: 76, coverage: 1 },
      { minutes: 240, inputW: 12, outputW: 71, coverage: 0.98 },
    ],
    learned: { acWhPerPct: 13.6, acWhPerPctSd: 0.3, ownW: 12, ownWSd: 1, outCost: 1.08, inWorth: 0.93, ticks: 48 },
    score: { held: 33, of: 40 },
    quiet: [],
    assumptions: { ratedWh: 1500, sunUntilAt: null, sky: 'place' },
    ...change,
  };
}

export const shedDay = (date: string, change: Partial<WireDay> = {}): WireDay => ({
  date,
  zone: ZONE,
  solarWh: 1028,
  inputWh: 1028,
  outputWh: 920,
  coveragePct: 100,
  coveredMs: 72_000_000,
  gapMs: 0,
  solarPeakW: 338,
  stateOfChargeMinPct: 44,
  stateOfChargeMaxPct: 82,
  ...change,
});

export const shedTally = (change: Partial<WireTally> = {}): WireTally => ({
  station: 'shed',
  lastHour: { inputWh: 0, outputWh: 76, stateOfChargeChangePct: -6 },
  today: shedDay('2026-11-08'),
  ...change,
});
