/**
 * Everything about one instant for one who aims a panel: the sun, the clear sky, the light on the plane, the watts, and
 * how the panel would stand best now or for the rest of the civil day.
 *
 * Irradiances and energies are before reflection at the panel's cover; the expected power is after it and all losses.
 * Instants are UTC epoch ms, the bounds of the civil day are the caller's.
 */
import { bestPlaneNow, bestPlaneOver, meanPlaneWm2, type SkyStep, skyStep } from './laws/best-plane.ts';
import type { Plane } from './laws/incidence.ts';
import type { Irradiance } from './laws/ineichen.ts';
import { totalWm2 } from './laws/plane-of-array.ts';
import { sunEvents } from './laws/sun-events.ts';
import type { SunPosition } from './laws/sun-position.ts';
import { type Air, onPlane, type Panels, panelPowerW } from './panel-power.ts';
import { type ClearSky, clearSkyOver, type SkyPlace } from './sky.ts';

/** Light left of the day is summed in steps of this. */
const STEP_MS = 5 * 60_000;
const HOUR_MS = 3_600_000;

export interface Aim {
  sun: SunPosition;
  /** Of the civil day: its first sunrise, and the last sunset; null where the day has none. */
  sunriseAt: number | null;
  sunsetAt: number | null;
  /** Set where the day has neither. */
  polar: null | 'up' | 'down';
  clearSky: Irradiance;
  planeOfArrayWm2: number;
  expectedPowerW: number;
  /** Flat where no light comes from the sun's direction. */
  bestNow: Plane;
  bestRestOfDay: Plane & { energyWhM2: number };
}

/**
 * @param atMs within `day`
 * @param plane how the panels stand
 * @param day first instant of the civil day and of the next
 */
export function aimAt(
  atMs: number,
  place: SkyPlace,
  plane: Plane,
  panels: Panels,
  air: Air,
  day: { startMs: number; endMs: number },
): Aim {
  const skyAt = clearSkyOver(place);
  const sky = skyAt(atMs);
  const light = onPlane(sky, plane);
  const { events, polar } = sunEvents(day.startMs, day.endMs, place.latitudeDeg, place.longitudeDeg);
  return {
    sun: sky.sun,
    sunriseAt: events.find(event => event.kind === 'sunrise')?.at ?? null,
    sunsetAt: events.findLast(event => event.kind === 'sunset')?.at ?? null,
    polar,
    clearSky: { ghiWm2: sky.ghiWm2, dniWm2: sky.dniWm2, dhiWm2: sky.dhiWm2 },
    planeOfArrayWm2: totalWm2(light),
    expectedPowerW: panelPowerW(light, air, panels),
    bestNow: bestPlaneNow(stepOf(sky)),
    bestRestOfDay: bestUntil(atMs, day.endMs, skyAt),
  };
}

const stepOf = (sky: ClearSky): SkyStep => skyStep(sky.apparentZenithDeg, sky.sun.azimuthDeg, sky, sky.extraWm2);

/** The best plane to leave as it is from an instant to another, and what it gathers under a clear sky, Wh/m². */
export function bestUntil(
  fromMs: number,
  toMs: number,
  skyAt: (atMs: number) => ClearSky,
): Plane & { energyWhM2: number } {
  const steps: SkyStep[] = [];
  for (let t = fromMs; t < toMs; t += STEP_MS) steps.push(stepOf(skyAt(t)));
  const plane = bestPlaneOver(steps);
  return { ...plane, energyWhM2: (meanPlaneWm2(steps, plane) * steps.length * STEP_MS) / HOUR_MS };
}
