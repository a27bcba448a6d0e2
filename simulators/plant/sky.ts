/**
 * The sky over the shed: the clear sky of the day dimmed and brightened by passing clouds. Clouds are smooth noise of
 * two time scales, so neighbouring seconds belong together; next to a cloud's edge the sky throws extra light (peaks of
 * 1.1-1.3 times the clear sky are common in measured one-second data; no single source).
 */
import { noise, STREAM } from './chance.ts';
import { type Irradiance, solis } from './clear-sky.ts';
import { createSun, type Place, type SunDirection } from './sun.ts';
import { airTempC, solarDay, type Weather, weatherOf } from './weather.ts';

export interface Sky extends Irradiance {
  readonly sun: SunDirection;
  readonly airTempC: number;
  /** Level-plane clear-sky irradiance without any cloud, W/m². */
  readonly clearGlobalWm2: number;
}

const SLOW_CLOUD_MS = 540_000;
const FAST_CLOUD_MS = 100_000;

const smoothstep = (from: number, to: number, x: number): number => {
  const f = Math.min(1, Math.max(0, (x - from) / (to - from)));
  return f * f * (3 - 2 * f);
};

/** Broken sky: beam and diffuse of a sky with separate clouds. */
function brokenSky(
  clear: Irradiance,
  weather: Weather,
  seed: number,
  ms: number,
): Pick<Irradiance, 'beamWm2' | 'diffuseWm2'> {
  const field =
    0.68 * noise(seed, STREAM.slowCloud, ms / SLOW_CLOUD_MS) + 0.32 * noise(seed, STREAM.fastCloud, ms / FAST_CLOUD_MS);
  // The field is about bell-shaped around 0.5: this threshold hides roughly `cover` of the time.
  const edge = 0.5 + (0.5 - weather.cover) * 0.75;
  const opacity = smoothstep(edge - 0.04, edge + 0.05, field);
  const rim = Math.exp(-(((field - edge + 0.07) / 0.035) ** 2));
  return {
    beamWm2: clear.beamWm2 * (1 - 0.9 * opacity),
    diffuseWm2: clear.diffuseWm2 * (1.25 + 0.7 * opacity) + clear.globalWm2 * 0.2 * rim * (1 - opacity),
  };
}

/** Clear or dull sky, whose slow changes take hours. */
function evenSky(
  clear: Irradiance,
  weather: Weather,
  seed: number,
  ms: number,
): Pick<Irradiance, 'beamWm2' | 'diffuseWm2'> {
  const slow = noise(seed, STREAM.haze, ms / 2_700_000);
  if (weather.regime === 'clear') {
    const wisp = 0.06 * Math.max(0, noise(seed, STREAM.slowCloud, ms / 1_500_000) - 0.6);
    return { beamWm2: clear.beamWm2 * (1 - wisp), diffuseWm2: clear.diffuseWm2 * (1 + 0.08 * slow) };
  }
  const share = weather.dullShare * (0.55 + 0.9 * slow) * (0.9 + 0.2 * noise(seed, STREAM.fastCloud, ms / 240_000));
  return { beamWm2: clear.beamWm2 * 0.01 * slow, diffuseWm2: clear.globalWm2 * share };
}

/** A sky over one place, by seed. The returned function is pure in time apart from keeping the current day's air. */
export function createSky(seed: number, place: Place): (ms: number) => Sky {
  const sunAt = createSun(place);
  let day = Number.NaN;
  let weather: Weather;
  let clearSky: ReturnType<typeof solis>;
  return ms => {
    const today = solarDay(ms, place.longitudeDeg);
    if (today !== day) {
      day = today;
      weather = weatherOf(seed, day, warmthAt(ms, place.latitudeDeg));
      clearSky = solis(weather.aerosol, weather.waterCm);
    }
    const sun = sunAt(ms);
    const clear = clearSky(sun.up, sun.extraterrestrialWm2);
    const temp = airTempC(weather, ms, place.longitudeDeg);
    if (clear.globalWm2 === 0)
      return { sun, airTempC: temp, beamWm2: 0, diffuseWm2: 0, globalWm2: 0, clearGlobalWm2: 0 };
    const { beamWm2, diffuseWm2 } =
      weather.regime === 'broken' ? brokenSky(clear, weather, seed, ms) : evenSky(clear, weather, seed, ms);
    const globalWm2 = beamWm2 * sun.up + diffuseWm2;
    return { sun, airTempC: temp, beamWm2, diffuseWm2, globalWm2, clearGlobalWm2: clear.globalWm2 };
  };
}

/** −1 in midwinter, 1 in midsummer, of the hemisphere. */
function warmthAt(ms: number, latitudeDeg: number): number {
  const year = (ms / 86_400_000 / 365.2425) % 1;
  const north = -Math.cos(2 * Math.PI * (year - 0.055));
  return (latitudeDeg >= 0 ? north : -north) * Math.min(1, Math.abs(latitudeDeg) / 35);
}
