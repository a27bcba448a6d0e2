/**
 * From the sky to the watts of panels on a plane: Hay-Davies, the cover's reflection, cell temperature, PVWatts.
 *
 * Reflection is taken off what comes from the direction of the sun only, as PVWatts does. Without a wind the cells are
 * taken as warm as their NOCT says.
 */
import { faimanTempC, rossTempC } from './laws/cell-temperature.ts';
import { cosIncidence, type Plane } from './laws/incidence.ts';
import { physicalModifier } from './laws/incidence-modifier.ts';
import { hayDavies, type PlaneIrradiance, totalWm2 } from './laws/plane-of-array.ts';
import { dcPowerW, lossShare, PORTABLE_LOSSES_PCT, UNKNOWN_POWER_PER_K } from './laws/pvwatts.ts';
import type { ClearSky } from './sky.ts';

const RAD = Math.PI / 180;

export interface Panels {
  /** Sum of the panels' ratings, W. */
  peakW: number;
  /** Relative change of power a kelvin, negative. */
  powerPerK: number;
  /** Share lost behind the panels' cells: `lossShare`. */
  lossShare: number;
}

/** Panels of which nothing but the rating is known. */
export const panelsOf = (peakW: number): Panels => ({
  peakW,
  powerPerK: UNKNOWN_POWER_PER_K,
  lossShare: lossShare(PORTABLE_LOSSES_PCT),
});

export interface Air {
  tempC: number;
  /** At the panels, m/s; null where not known. */
  windMs: number | null;
}

/** Where nobody measures it: a mild day without wind. */
export const UNKNOWN_AIR: Air = { tempC: 20, windMs: null };

export interface LightOnPlane extends PlaneIrradiance {
  /** Cosine of the angle of incidence. */
  cosAoi: number;
}

const DARK: LightOnPlane = { beamWm2: 0, circumsolarWm2: 0, skyWm2: 0, groundWm2: 0, cosAoi: 0 };

/** What falls on a plane, part by part. */
export function onPlane(sky: ClearSky, plane: Plane): LightOnPlane {
  if (sky.ghiWm2 <= 0) return DARK;
  const cosAoi = cosIncidence(sky.apparentZenithDeg, sky.sun.azimuthDeg, plane);
  const cosZ = Math.cos(sky.apparentZenithDeg * RAD);
  const { beamWm2, circumsolarWm2, skyWm2, groundWm2 } = hayDavies(sky, sky.extraWm2, cosZ, cosAoi, plane.tiltDeg);
  // Named one by one: a spread costs more here than all the sky.
  return { beamWm2, circumsolarWm2, skyWm2, groundWm2, cosAoi };
}

/** Expected power of the panels, W. */
export function panelPowerW(light: LightOnPlane, air: Air, panels: Panels): number {
  const planeWm2 = totalWm2(light);
  if (planeWm2 <= 0) return 0;
  const passes = physicalModifier(Math.acos(Math.min(1, Math.max(-1, light.cosAoi))) / RAD);
  const effectiveWm2 = (light.beamWm2 + light.circumsolarWm2) * passes + light.skyWm2 + light.groundWm2;
  const cellTempC = air.windMs === null ? rossTempC(planeWm2, air.tempC) : faimanTempC(planeWm2, air.tempC, air.windMs);
  return dcPowerW(effectiveWm2, cellTempC, panels.peakW, panels.powerPerK) * (1 - panels.lossShare);
}
