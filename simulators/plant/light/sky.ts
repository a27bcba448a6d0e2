/**
 * The sky over the shed: the clear sky of the day with its weather. Level-plane irradiance in W/m²; pure in time and
 * seed apart from keeping the current day's air.
 */
import { noise, STREAM } from '../chance.ts';
import { createSun, type Place, type SunDirection } from '../sun.ts';
import { airTempC, solarDay, type Weather, weatherOf, windMs } from '../weather.ts';
import { type Irradiance, solis } from './clear-sky.ts';
import { brokenClouds } from './clouds.ts';

export interface Sky extends Irradiance {
  readonly sun: SunDirection;
  readonly airTempC: number;
  readonly windMs: number;
  /** Level-plane clear-sky irradiance without any cloud, W/m². */
  readonly clearGlobalWm2: number;
}

/** A sky at any instant, epoch ms. */
export type SkyAt = (ms: number) => Sky;

type BeamAndDiffuse = Pick<Irradiance, 'beamWm2' | 'diffuseWm2'>;

function brokenSky(clear: Irradiance, weather: Weather, seed: number, ms: number): BeamAndDiffuse {
  const clouds = brokenClouds(weather.broken, seed, ms);
  const between = clear.diffuseWm2 * 1.15;
  return {
    beamWm2: clear.beamWm2 * clouds.beamShare,
    diffuseWm2:
      clouds.covered * clouds.deckShare * clear.globalWm2 +
      (1 - clouds.covered) * between +
      clouds.edgeShare * clear.globalWm2,
  };
}

/** Clear or dull sky, whose slow changes take hours. */
function evenSky(clear: Irradiance, weather: Weather, seed: number, ms: number): BeamAndDiffuse {
  const slow = noise(seed, STREAM.haze, ms / 2_700_000);
  if (weather.regime === 'clear') {
    const wisp = 0.06 * Math.max(0, noise(seed, STREAM.slowCloud, ms / 1_500_000) - 0.6);
    return { beamWm2: clear.beamWm2 * (1 - wisp), diffuseWm2: clear.diffuseWm2 * (1 + 0.08 * slow) };
  }
  const share = weather.dullShare * (0.55 + 0.9 * slow) * (0.9 + 0.2 * noise(seed, STREAM.fastCloud, ms / 240_000));
  return { beamWm2: clear.beamWm2 * 0.01 * slow, diffuseWm2: clear.globalWm2 * share };
}

/** A sky over one place, by seed. @param cloudless the same air without its clouds: what they took is the difference */
export function createSky(seed: number, place: Place, cloudless = false): SkyAt {
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
    const air = { airTempC: airTempC(weather, ms, place.longitudeDeg), windMs: windMs(weather, seed, ms) };
    if (clear.globalWm2 === 0) return { sun, ...air, beamWm2: 0, diffuseWm2: 0, globalWm2: 0, clearGlobalWm2: 0 };
    const { beamWm2, diffuseWm2 } = cloudless
      ? clear
      : weather.regime === 'broken'
        ? brokenSky(clear, weather, seed, ms)
        : evenSky(clear, weather, seed, ms);
    const globalWm2 = beamWm2 * sun.up + diffuseWm2;
    return { sun, ...air, beamWm2, diffuseWm2, globalWm2, clearGlobalWm2: clear.globalWm2 };
  };
}

/** −1 in midwinter, 1 in midsummer, of the hemisphere. */
function warmthAt(ms: number, latitudeDeg: number): number {
  const year = (ms / 86_400_000 / 365.2425) % 1;
  const north = -Math.cos(2 * Math.PI * (year - 0.055));
  return (latitudeDeg >= 0 ? north : -north) * Math.min(1, Math.abs(latitudeDeg) / 35);
}
