/**
 * Panels at a spot with a known skyline, lived through day by day on the plant's own sky, shade, strings and tracker:
 * minutes as a station would tell them, and the truth beside them. Another clear sky, another light on the plane, other
 * heat and glass than what is learned with.
 */
import { PANEL_DIODE } from '../../simulators/honey-shed.ts';
import { type ArrayFacts, createArray } from '../../simulators/plant/electric/array.ts';
import { createTracker } from '../../simulators/plant/electric/tracker.ts';
import { FOLDING } from '../../simulators/plant/light/cell-temperature.ts';
import { createShade, type ShadeFacts } from '../../simulators/plant/light/shade.ts';
import { createSky, type SkyAt } from '../../simulators/plant/light/sky.ts';
import type { Place, SunDirection } from '../../simulators/plant/sun.ts';

const MINUTE_MS = 60_000;
const RAD = Math.PI / 180;
const PANEL_WIDTH_M = 1.1;
const ROWS = 2;
const ALONG_M = [-1.15, 0, 1.15];
export const RATED_W = 270;

export interface SpotPlantOptions {
  readonly place: Place;
  readonly plane: { readonly tiltDeg: number; readonly azimuthDeg: number };
  readonly shade: ShadeFacts;
  readonly seed: number;
  /** Two strings side by side instead of one in series. */
  readonly parallel?: boolean;
  readonly portW?: number;
  /** Watt-hours of a day after which the battery is full and takes this little. */
  readonly fullAfterWh?: number;
  readonly fullTakesW?: number;
  /** The station tells that it is the limit. */
  readonly tellsLimit?: boolean;
  readonly sky?: SkyAt;
  readonly stepS?: number;
  /** The station shows whole watts. */
  readonly wholeWatts?: boolean;
}

export interface PlantMinute {
  readonly atMs: number;
  readonly powerW: number;
  readonly limited: boolean;
}

/** Panels of the shed on a plane of one's own, in series or each by itself. */
export const spotArray = ({ plane, parallel }: Pick<SpotPlantOptions, 'plane' | 'parallel'>): ArrayFacts => ({
  panels: ALONG_M.map((alongM, k) => ({
    name: `panel ${k}`,
    ratedW: RATED_W / ALONG_M.length,
    ...plane,
    diode: PANEL_DIODE,
    rows: ROWS,
    bypassV: 0.5,
    alongM,
    widthM: PANEL_WIDTH_M,
    mounting: FOLDING,
  })),
  strings: parallel === true ? ALONG_M.map((_, k) => [`panel ${k}`]) : [ALONG_M.map((_, k) => `panel ${k}`)],
});

/** Share of the rows of cells that the beam reaches, each as far as its most shaded cell; leaves at their mean; 0 to 1. */
export function openTowards(shade: ReturnType<typeof createShade>, azimuthDegOfPanels: number, parallel: boolean) {
  const right = (azimuthDegOfPanels + 90) * RAD;
  const each = PANEL_WIDTH_M / ROWS;
  const panels = ALONG_M.map(along =>
    Array.from({ length: ROWS }, (_, row) =>
      [0.02, each / 2, each - 0.02].map(m => {
        const metres = along - PANEL_WIDTH_M / 2 + row * each + m;
        return { eastM: metres * Math.sin(right), northM: metres * Math.cos(right) };
      }),
    ),
  );
  return (sun: SunDirection): number => {
    const over = shade.overSkyline(sun);
    if (over === 0 || !shade.mayBeNear(sun)) return over;
    const open = panels.flatMap(rows => {
      const each = rows.map(spots => Math.min(...spots.map(spot => shade.atSpot(sun, spot, 0))));
      // Beside others, a panel that lost a row of cells lacks the voltage to give anything.
      return parallel ? [Math.min(...each)] : each;
    });
    return (over * open.reduce((sum, of) => sum + of, 0)) / open.length;
  };
}

/** The direction of a place of the sky. */
export const towards = (azimuthDeg: number, elevationDeg: number): SunDirection => ({
  east: Math.cos(elevationDeg * RAD) * Math.sin(azimuthDeg * RAD),
  north: Math.cos(elevationDeg * RAD) * Math.cos(azimuthDeg * RAD),
  up: Math.sin(elevationDeg * RAD),
  extraterrestrialWm2: 1361,
});

/** Lives through minutes in order of time; the nights are gone through in one step. */
export function createSpotPlant(o: SpotPlantOptions) {
  const sky = o.sky ?? createSky(o.seed, o.place);
  const shade = createShade(o.shade, o.seed);
  const array = createArray(spotArray(o), shade);
  const tracker = createTracker({ name: 'port', maxW: o.portW ?? 1000, maxA: 30, minV: 12, maxV: 100 });
  const stepS = o.stepS ?? 20;
  const tells = o.tellsLimit ?? true;
  let [day, dayWh] = [Number.NaN, 0];

  return {
    open: openTowards(shade, o.plane.azimuthDeg, o.parallel ?? false),
    sky,
    /** The minute that begins at `atMs`; null in the dark, which nobody needs. */
    minute(atMs: number): PlantMinute | null {
      if (sky(atMs + MINUTE_MS / 2).sun.up < -0.01) return null;
      const today = Math.floor(atMs / 86_400_000 + o.place.longitudeDeg / 360);
      if (today !== day) [day, dayWh] = [today, 0];
      let [sumW, held] = [0, false];
      const steps = 60 / stepS;
      for (let k = 0; k < steps; k++) {
        const ms = atMs + (k + 0.5) * stepS * 1000;
        array.step(sky(ms), ms, stepS);
        const full = o.fullAfterWh !== undefined && dayWh >= o.fullAfterWh;
        const takesW = full ? (o.fullTakesW ?? 40) : (o.portW ?? 1000);
        const { powerW, heldBy } = tracker.step(array.strings, takesW, ms, stepS);
        if (heldBy !== 'nothing') held = true;
        sumW += powerW;
        dayWh += (powerW * stepS) / 3600;
      }
      const powerW = sumW / steps;
      const step = o.wholeWatts === true ? 1 : 0.1;
      return { atMs, powerW: Math.round(powerW / step) * step, limited: held && tells };
    },
  };
}

export type SpotPlant = ReturnType<typeof createSpotPlant>;
