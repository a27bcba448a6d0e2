/**
 * Judges the days of one spot by a scale that it finds from their best hours: what panels give there, and how they stand.
 * Days before the scale is known wait; the last few stay, to find it again as dust and season go on.
 */
import { type DayRecord, packDay, unpackDay } from './day-record.ts';
import { judgeDay } from './judge-day.ts';
import type { Counted, Kept } from './kept.ts';
import { createPatches, type Patches } from './patches.ts';
import { fitScale, type Scale, type SteadySample, steadySamples } from './scale.ts';
import { type DaySun, dayLight, daySun } from './solar-day.ts';
import { steadyMinutes } from './steady.ts';
import type { SpotFacts } from './types.ts';

/** Days kept to find the scale by, and how many steady samples make one worth keeping. */
const RECENT_DAYS = 6;
const RECENT_FOR_DAYS = 40;
const SAMPLES_AT_LEAST = 8;
/** The scale is found anew after each kept day at first, then every so many days. */
const EAGER_FITS = 4;
const REFIT_DAYS = 7;
/** Steady minutes at the sun's level that make a day count as a clear one. */
const CLEAR_MIN = 20;
const LEVEL = { tiltDeg: 0, azimuthDeg: 0 };

/** The last days, without the old and, of too many, without the least steady: dull ones must not push out a clear one. */
function keptOfRecent(days: readonly DayRecord[], steadiness: (of: DayRecord) => number): DayRecord[] {
  const newest = days.at(-1)!;
  const young = days.filter(of => newest.day - of.day <= RECENT_FOR_DAYS);
  if (young.length <= RECENT_DAYS) return young;
  const least = young.slice(0, -1).reduce((a, b) => (steadiness(b) < steadiness(a) ? b : a));
  return young.filter(of => of !== least);
}

export interface Judging {
  readonly patches: Patches;
  readonly counted: Readonly<Counted>;
  scale(): Scale | null;
  /** A day that goes on, as far as it has come; nothing without a scale. */
  today(record: DayRecord): void;
  /** A day that is over. */
  finish(record: DayRecord): void;
  /** Panels stand another way, or are others: what is known of the sky stays. */
  beginScaleAnew(): void;
  pack(): Pick<Kept, 'scale' | 'fits' | 'fittedDay' | 'counted' | 'recent'>;
}

function countDay(counted: Counted, day: number, minutes: number, clear: boolean): void {
  if (counted.day === day) {
    counted.minutes -= counted.dayMinutes;
    if (counted.dayClear) counted.clearDays--;
  }
  Object.assign(counted, { day, dayMinutes: minutes, dayClear: clear });
  counted.minutes += minutes;
  if (clear) counted.clearDays++;
}

export function createJudging(facts: SpotFacts, kept: Kept): Judging {
  const patches = createPatches(kept.patches);
  const { counted } = kept;
  const samplesOf = new WeakMap<DayRecord, SteadySample[]>();
  let recent = kept.recent.map(unpackDay);
  let { scale, fits, fittedDay } = kept;

  // A day is looked at to find the scale, then to judge it; the sun stood where it stood.
  let last: { record: DayRecord; to: number; sun: DaySun } | null = null;
  const lookAt = (record: DayRecord) => {
    if (last?.record !== record || last.to !== record.last)
      last = { record, to: record.last, sun: daySun(facts.place, record.day, { from: record.first, to: record.last }) };
    const { sun } = last;
    const light = dayLight(sun, scale?.plane ?? facts.plane ?? LEVEL);
    return { sun, light, steady: steadyMinutes(record.powerW, light.perW, record) };
  };
  const steadyOf = (record: DayRecord): SteadySample[] => {
    let samples = samplesOf.get(record);
    if (samples === undefined) {
      const { sun, steady } = lookAt(record);
      samples = steadySamples(record, sun, steady);
      samplesOf.set(record, samples);
    }
    return samples;
  };
  const judge = (record: DayRecord, by: Scale): void => {
    const { sun, light, steady } = lookAt(record);
    const { votes, minutes, clearMin } = judgeDay(record, sun, light, steady, by);
    patches.put(record.day, votes);
    countDay(counted, record.day, minutes, clearMin >= CLEAR_MIN);
  };
  const findScale = (day: number): void => {
    const found = fitScale(recent.map(steadyOf), facts.plane, scale, facts.ratedW);
    fittedDay = day;
    if (found === null) return;
    scale = found;
    fits++;
  };

  return {
    patches,
    counted,
    scale: () => scale,
    today(record) {
      if (scale !== null) judge(record, scale);
    },
    finish(record) {
      const waited = scale === null;
      if (steadyOf(record).length >= SAMPLES_AT_LEAST) {
        recent = keptOfRecent([...recent, record], of => steadyOf(of).length);
        if (waited || fits < EAGER_FITS || record.day - fittedDay >= REFIT_DAYS) findScale(record.day);
      }
      if (scale === null) return;
      for (const of of waited ? recent : [record]) judge(of, scale);
    },
    beginScaleAnew() {
      [scale, recent, fits] = [null, [], 0];
    },
    pack: () => ({ scale, fits, fittedDay, counted: { ...counted }, recent: recent.map(packDay) }),
  };
}
