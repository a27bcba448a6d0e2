/**
 * Skies and powers that were measured by the minute, made into seconds. A straight line between minutes would smooth the
 * clouds away: where the minutes around differ, each is divided into time at the brightest and time at the darkest of
 * them so that its mean stays, in the order that joins its neighbours, with edges of some seconds and a texture under the
 * clouds; where they are alike it is straight between. Files by name, as their owners publish them: MIDC (global, MST),
 * SURFRAD tidied (global, beam, diffuse), PVDAQ power.
 */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { erbs } from '#energy/laws/erbs';
import { draw, noise } from '../../../simulators/plant/chance.ts';
import { solis } from '../../../simulators/plant/light/clear-sky.ts';
import type { SkyAt } from '../../../simulators/plant/light/sky.ts';
import { createSun, type Place } from '../../../simulators/plant/sun.ts';
import type { TwoSkies } from './skies.ts';

const MINUTE_MS = 60_000;
const DEG = 180 / Math.PI;

/** Means of minutes that follow each other, each about its instant `atMs[k]` (the middle). */
export interface Minutes {
  readonly fromMs: number;
  readonly values: readonly number[];
}

/** Minutes to either side that tell how bright the gaps and how dark the clouds are. */
const AROUND = 3;
/** Highest over lowest of them less one, from which on it is clouds. */
const CLOUDS_FROM = 0.06;
const EDGE_S = 5;
/** No cloud is even: own judgement. */
const TEXTURE = 0.05;
const TEXTURE_S = 15;
const TEXTURE_SEED = 211;

/** Value at an instant inside the minutes. */
export function sharpened({ fromMs, values }: Minutes): (ms: number) => number {
  const at = (k: number) => values[Math.min(values.length - 1, Math.max(0, k))]!;
  const straight = (x: number) => {
    const k = Math.floor(x - 0.5);
    const f = x - 0.5 - k;
    return at(k) + f * (at(k + 1) - at(k));
  };
  /** Share of the way to the bright end within a minute, 0..1 through its edges. */
  const bright = (k: number, s: number): number | null => {
    const around = Array.from({ length: 2 * AROUND + 1 }, (_, i) => at(k - AROUND + i));
    const [low, high] = [Math.min(...around), Math.max(...around)];
    if (high <= low * (1 + CLOUDS_FROM) || high <= 0) return null;
    const brightS = (60 * (at(k) - low)) / (high - low);
    const edge = (sinceS: number) => Math.min(1, Math.max(0, 0.5 + sinceS / EDGE_S));
    const [before, after] = [at(k - 1), at(k + 1)];
    const upFirst = before >= at(k) && after < at(k);
    const middle = before < at(k) && after < at(k);
    const hole = before >= at(k) && after >= at(k);
    const share = middle
      ? edge(s - (60 - brightS) / 2) * edge((60 + brightS) / 2 - s)
      : hole
        ? Math.max(edge(brightS / 2 - s), edge(s - (60 - brightS / 2)))
        : upFirst
          ? edge(brightS - s)
          : edge(s - (60 - brightS));
    const textured = 1 + (1 - share) * TEXTURE * (noise(TEXTURE_SEED, TEXTURE_SEED, (60 * k + s) / TEXTURE_S) - 0.5);
    return (low + share * (high - low)) * textured;
  };
  return ms => {
    const x = (ms - fromMs) / MINUTE_MS;
    const k = Math.floor(x);
    return bright(k, (x - k) * 60) ?? straight(x);
  };
}

export interface MeasuredDay {
  readonly name: string;
  readonly place: Place;
  readonly altitudeM: number;
  readonly fromMs: number;
  readonly toMs: number;
}

export interface MeasuredSkies extends MeasuredDay {
  readonly skies: TwoSkies;
}

const BOULDER = { latitudeDeg: 39.9107, longitudeDeg: -105.2348 };
const BOULDER_M = 1855;
const ALAMOSA = { latitudeDeg: 37.7, longitudeDeg: -105.92 };
const ALAMOSA_M = 2317;
/** Of thin dry air. */
const AEROSOL = 0.05;
const WATER_CM = 0.7;
const PRESSURE_PA = 82_000;
const CALM = { airTempC: 8, windMs: 1.5 };

const lines = (file: string): string[][] =>
  readFileSync(file, 'utf8')
    .split(/\r?\n/)
    .slice(1)
    .filter(line => line !== '')
    .map(line => line.split(','));

function clearOver(place: Place): SkyAt {
  const sunAt = createSun(place);
  const air = solis(AEROSOL, WATER_CM, PRESSURE_PA);
  return ms => {
    const sun = sunAt(ms);
    const clear = air(sun.up, sun.extraterrestrialWm2);
    return { sun, ...CALM, ...clear, clearGlobalWm2: clear.globalWm2 };
  };
}

/** Global irradiance of one broken day; split into beam and diffuse second by second after Erbs. */
export function brokenDay(folder: string): MeasuredSkies | null {
  const file = join(folder, 'midc_20181014.txt');
  if (!existsSync(file)) return null;
  // Stamped at the end of the minute, in mountain standard time.
  const fromMs = Date.UTC(2018, 9, 14, 7) - MINUTE_MS;
  const clear = clearOver(BOULDER);
  const indexes = lines(file).map((cells, k) => {
    const { clearGlobalWm2 } = clear(fromMs + (k + 0.5) * MINUTE_MS);
    return clearGlobalWm2 < 20 ? 0 : Math.max(0, Number(cells[2])) / clearGlobalWm2;
  });
  const index = sharpened({ fromMs, values: indexes });
  const sky: SkyAt = ms => {
    const c = clear(ms);
    const globalWm2 = index(ms) * c.clearGlobalWm2;
    const split = erbs(globalWm2, Math.acos(c.sun.up) * DEG, c.sun.extraterrestrialWm2);
    return { ...c, globalWm2, beamWm2: split.dniWm2, diffuseWm2: split.dhiWm2 };
  };
  const [from, to] = [Date.UTC(2018, 9, 14, 15, 30), Date.UTC(2018, 9, 14, 22, 30)];
  return {
    name: 'measured broken',
    place: BOULDER,
    altitudeM: BOULDER_M,
    fromMs: from,
    toMs: to,
    skies: { sky, clear },
  };
}

/** Global, beam and diffuse of one clear day. */
export function clearDay(folder: string): MeasuredSkies | null {
  const file = join(folder, 'tidy-surfrad-alamosa-20160101-1min.csv');
  if (!existsSync(file)) return null;
  const rows = lines(file);
  const fromMs = Date.parse(rows[0]![0]!) - MINUTE_MS;
  const column = (k: number) => sharpened({ fromMs, values: rows.map(cells => Math.max(0, Number(cells[k]))) });
  const [globalAt, beamAt, diffuseAt] = [column(2), column(4), column(5)];
  const sunAt = createSun(ALAMOSA);
  const sky: SkyAt = ms => ({
    sun: sunAt(ms),
    ...CALM,
    globalWm2: globalAt(ms),
    clearGlobalWm2: globalAt(ms),
    beamWm2: beamAt(ms),
    diffuseWm2: diffuseAt(ms),
  });
  const [from, to] = [Date.UTC(2016, 0, 1, 16), Date.UTC(2016, 0, 1, 22, 30)];
  return {
    name: 'measured clear',
    place: ALAMOSA,
    altitudeM: ALAMOSA_M,
    fromMs: from,
    toMs: to,
    skies: { sky, clear: sky },
  };
}

export interface MeasuredPower extends MeasuredDay {
  readonly tiltDeg: number;
  readonly azimuthDeg: number;
  /** As a share of the most. */
  readonly shareAt: (ms: number) => number;
}

/** Minutes to either side of the running median that is taken as the day's course. */
const COURSE = 12;

/**
 * Power of an inverter on two clear days. Its values are of an instant, and jump by 2 % from one minute to the next under
 * a clear sky: that is its hunting. So the course is a running median, and what is left of the minutes is drawn for every
 * other second.
 */
export function powerDays(folder: string): MeasuredPower[] {
  const file = join(folder, 'serf_east_1min_ac_power.csv');
  if (!existsSync(file)) return [];
  const rows = lines(file).map(([at, power]) => ({ atMs: Date.parse(at!.replace(' ', 'T')), power: Number(power) }));
  const dayOf = (atMs: number) => Math.floor((atMs - 7 * 3_600_000) / 86_400_000);
  return [...new Set(rows.map(row => dayOf(row.atMs)))].map((day, k) => {
    const own = rows.filter(row => dayOf(row.atMs) === day).map(row => Math.max(0, row.power));
    const noonMs = day * 86_400_000 + 19 * 3_600_000;
    const first = rows.find(row => dayOf(row.atMs) === day)!.atMs;
    const median = own.map((_, i) => {
      const around = own.slice(Math.max(0, i - COURSE), i + COURSE + 1).sort((x, y) => x - y);
      return around[around.length >> 1]!;
    });
    const course = sharpened({ fromMs: first, values: median });
    const most = Math.max(...median);
    const [fromMs, toMs] = [noonMs - 4 * 3_600_000, noonMs + 3.5 * 3_600_000];
    const left = own.flatMap((power, i) =>
      first + i * MINUTE_MS > fromMs && first + i * MINUTE_MS < toMs ? [power / median[i]! - 1] : [],
    );
    return {
      name: `measured power ${k + 1}`,
      place: { latitudeDeg: 39.742, longitudeDeg: -105.17 },
      altitudeM: 1800,
      fromMs,
      toMs,
      tiltDeg: 45,
      azimuthDeg: 158,
      shareAt: ms => {
        const drawn = left[Math.floor(draw(day, TEXTURE_SEED, Math.floor(ms / 2000)) * left.length)]!;
        return (course(ms) / most) * (1 + drawn);
      },
    };
  });
}
