/**
 * The learning of one spot: minutes go in as they come, each solar day is judged when it is over (and today as far as
 * it has come), and what separate days agree on can be asked for. Days before the panels' scale is known wait; the last
 * few stay, to find the scale again as dust and season go on. A day costs a few milliseconds.
 */

import { clearSkyOver } from '../../sky.ts';
import { clockStrip, sunTrack, tell } from './clock-strip.ts';
import { type DayRecord, emptyDay, note, packDay, unpackDay } from './day-record.ts';
import { judgeDay } from './judge-day.ts';
import { type Kept, keptOf, samePlane } from './kept.ts';
import { createPatches } from './patches.ts';
import { fitScale, type Scale, type SteadySample, steadySamples } from './scale.ts';
import { patchesTold, skylineParts } from './skyline-parts.ts';
import { dayLight, daySun, solarDayOf, solarMinuteOf, wattsUnder } from './solar-day.ts';
import { steadyMinutes } from './steady.ts';
import type { PackedSpot, SpotFacts, SpotLearning, SpotOutlook, SpotSky } from './types.ts';

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

/** @param packed of `pack`, perhaps made under other facts: the skyline stays, the scale is then found anew */
export function createSpotLearning(facts: SpotFacts, packed?: PackedSpot): SpotLearning {
  const kept = keptOf(packed, facts.place);
  const patches = createPatches(kept.patches);
  const samplesOf = new WeakMap<DayRecord, SteadySample[]>();
  const { counted } = kept;
  let recent = kept.recent.map(unpackDay);
  let current: DayRecord | null = kept.current === null ? null : unpackDay(kept.current);
  let { scale, fits, fittedDay } = kept;
  let lastMs = kept.lastMs;
  /** Today was judged since its last minute. */
  let judged = false;

  const lightOf = (record: DayRecord, plane = scale?.plane ?? facts.plane ?? LEVEL) => {
    const sun = daySun(facts.place, record.day, { from: record.first, to: record.last });
    const light = dayLight(sun, plane);
    return { sun, light, steady: steadyMinutes(record.powerW, light.perW, record) };
  };

  const judge = (record: DayRecord, by: Scale): void => {
    const { sun, light, steady } = lightOf(record);
    const { votes, minutes, clearMin } = judgeDay(record, sun, light, steady, by);
    patches.put(record.day, votes);
    if (counted.day === record.day) {
      counted.minutes -= counted.dayMinutes;
      if (counted.dayClear) counted.clearDays--;
    }
    counted.day = record.day;
    counted.dayMinutes = minutes;
    counted.dayClear = clearMin >= CLEAR_MIN;
    counted.minutes += minutes;
    if (counted.dayClear) counted.clearDays++;
  };

  const steadyOf = (record: DayRecord): SteadySample[] => {
    let samples = samplesOf.get(record);
    if (samples === undefined) {
      const { sun, steady } = lightOf(record);
      samples = steadySamples(record, sun, steady);
      samplesOf.set(record, samples);
    }
    return samples;
  };

  const rescale = (day: number): void => {
    const found = fitScale(recent.map(steadyOf), facts.plane, scale, facts.ratedW);
    fittedDay = day;
    if (found === null) return;
    scale = found;
    fits++;
  };

  const finish = (record: DayRecord): void => {
    if (record.last < record.first) return;
    const waiting = scale === null;
    if (steadyOf(record).length >= SAMPLES_AT_LEAST) {
      recent = keptOfRecent([...recent, record], of => steadyOf(of).length);
      if (waiting || fits < EAGER_FITS || record.day - fittedDay >= REFIT_DAYS) rescale(record.day);
    }
    if (scale === null) return;
    for (const of of waiting ? recent : [record]) judge(of, scale);
  };

  if (kept.facts !== null && !samePlane(kept.facts, facts)) {
    if (current !== null) finish(current);
    [current, scale, recent, fits] = [null, null, [], 0];
  }

  return {
    add({ atMs, powerW, limited }) {
      if (atMs <= lastMs) return;
      lastMs = atMs;
      const day = solarDayOf(atMs, facts.place.longitudeDeg);
      if (current === null || current.day !== day) {
        if (current !== null) finish(current);
        current = emptyDay(day);
      }
      note(current, solarMinuteOf(atMs, facts.place.longitudeDeg), powerW, limited);
      judged = false;
    },
    sky(nowMs, day): SpotSky {
      if (!judged && current !== null && scale !== null) judge(current, scale);
      judged = true;
      const today = solarDayOf(nowMs, facts.place.longitudeDeg);
      const skyline = skylineParts(patchesTold(patches, today));
      return {
        clearDays: counted.clearDays,
        evidenceMin: counted.minutes,
        ...clockStrip(sunTrack(facts.place, day), patches, nowMs, today),
        skyline: skyline.length === 0 ? null : skyline,
      };
    },
    patches: nowMs => patchesTold(patches, solarDayOf(nowMs, facts.place.longitudeDeg)),
    outlook(nowMs, untilMs, stepMs): SpotOutlook | null {
      if (scale === null) return null;
      const skyAt = clearSkyOver(facts.place);
      const today = solarDayOf(nowMs, facts.place.longitudeDeg);
      const count = Math.max(0, Math.ceil((untilMs - nowMs) / stepMs));
      const outlook = { sunPerW: new Float64Array(count), shadePerW: new Float64Array(count), gainW: scale.gainW };
      const { plane } = scale;
      const is = Array.from({ length: count }, (_, i) => {
        const sky = skyAt(nowMs + (i + 0.5) * stepMs);
        const { perW, beamShare } = wattsUnder(sky, plane);
        outlook.sunPerW[i] = perW;
        outlook.shadePerW[i] = perW * (1 - beamShare);
        const { azimuthDeg, apparentElevationDeg } = sky.sun;
        return apparentElevationDeg <= 0 ? 'unknown' : tell(patches.at(azimuthDeg, apparentElevationDeg, today));
      });
      return { ...outlook, is };
    },
    pack: () =>
      ({
        version: 1,
        facts: { place: facts.place, plane: facts.plane, ratedW: facts.ratedW },
        scale,
        fits,
        fittedDay,
        lastMs,
        counted: { ...counted },
        patches: patches.pack(current?.day ?? null),
        recent: recent.map(packDay),
        current: current === null || current.last < current.first ? null : packDay(current),
      }) satisfies Kept & PackedSpot,
  };
}
