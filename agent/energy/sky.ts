/**
 * The sky over one place: where the sun stands and what it gives when no cloud is there. Puts the laws together, for
 * many instants of one place; W/m², degrees, UTC epoch ms.
 *
 * The altitude the clear-sky law is given ends at 2500 m: above, its altitude terms promise too much (at 2850 m 9.3
 * kWh/m² on a day that other models give 8.1). The pressure is that of the true altitude.
 */
import { absoluteAirMass, airMass } from './laws/air-mass.ts';
import { dayOfYear, extraterrestrialWm2 } from './laws/extraterrestrial.ts';
import { type Irradiance, ineichen } from './laws/ineichen.ts';
import { pressurePa } from './laws/pressure.ts';
import { type SunPosition, sunPosition } from './laws/sun-position.ts';

export const ALTITUDE_CAP_M = 2500;
/** Linke turbidity where the owner says nothing: temperate air. */
export const DEFAULT_TURBIDITY = 3;
const DAY_MS = 86_400_000;

export interface SkyPlace {
  latitudeDeg: number;
  longitudeDeg: number;
  altitudeM: number;
  /** Linke turbidity: 2 dry, cold or high; 3 temperate; 5 humid or dusty. */
  turbidity: number;
}

export interface ClearSky extends Irradiance {
  sun: SunPosition;
  /** Zenith angle of the sun as seen, refraction included: the one every irradiance law uses. */
  apparentZenithDeg: number;
  /** Normal irradiance outside the air. */
  extraWm2: number;
}

/** The answer gives the clear sky at an instant. Refraction is that of the place's pressure and 10 °C. */
export function clearSkyOver(place: SkyPlace): (atMs: number) => ClearSky {
  const pressure = pressurePa(place.altitudeM);
  const altitudeM = Math.min(place.altitudeM, ALTITUDE_CAP_M);
  let day = Number.NaN;
  let extraWm2 = Number.NaN;
  return atMs => {
    // The day changes once in many instants, and asking the calendar costs more than all of the sky.
    if (Math.floor(atMs / DAY_MS) !== day) {
      day = Math.floor(atMs / DAY_MS);
      extraWm2 = extraterrestrialWm2(dayOfYear(atMs));
    }
    const sun = sunPosition(atMs, place.latitudeDeg, place.longitudeDeg, pressure);
    const apparentZenithDeg = 90 - sun.apparentElevationDeg;
    const thickness = absoluteAirMass(airMass(apparentZenithDeg), pressure);
    const { ghiWm2, dniWm2, dhiWm2 } = ineichen(apparentZenithDeg, thickness, place.turbidity, altitudeM, extraWm2);
    return { ghiWm2, dniWm2, dhiWm2, sun, apparentZenithDeg, extraWm2 };
  };
}
