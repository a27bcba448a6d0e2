/**
 * What a day's panels are measured against: their watts under a cloudless sky, and the irradiation on their planes while
 * the record was there to see. Minute by minute; Wh, and hours (kWh/m² per 1 kW/m²).
 */
import type { Plane } from './laws/incidence.ts';
import { totalWm2 } from './laws/plane-of-array.ts';
import { onPlane, type Panels, panelPowerW, UNKNOWN_AIR } from './panel-power.ts';
import { clearSkyOver, type SkyPlace } from './sky.ts';
import { referenceYieldH } from './yields.ts';

const MINUTE_MS = 60_000;

/** Equal panels that stand on one plane. */
export interface StandingPanels extends Panels {
  plane: Plane;
}

/** What the record knows of one minute. */
export interface MinuteSeen {
  recorded: boolean;
  /** The battery was full or the port at its limit: the panels could have given more. */
  heldBack: boolean;
  /** Measured on the plane, W/m²; null where nothing measures it. */
  planeWm2: number | null;
}

export interface DayYields {
  /** What the panels would have given on the whole day under a cloudless sky, Wh. */
  clearSkyWh: number;
  /** Yr over the minutes recorded, each kind of panel weighing as much as its rating. */
  referenceH: number;
  /** Of these, the hours in which the station held the panels back. */
  heldBackH: number;
  /** True where all recorded minutes were measured; else the reference is a cloudless sky, which clouds fall short of. */
  measured: boolean;
}

/**
 * @param startMs first instant of the civil day, UTC epoch ms
 * @param minutes of the whole day in order
 * @param panels at least one of them
 * @param carriedTo how all panels stood at an instant where they had been carried; null: each on its own plane
 */
export function dayYields(
  startMs: number,
  minutes: readonly MinuteSeen[],
  place: SkyPlace,
  panels: readonly StandingPanels[],
  carriedTo: (atMs: number) => Plane | null = () => null,
): DayYields {
  const skyAt = clearSkyOver(place);
  const ratedW = panels.reduce((sum, p) => sum + p.peakW, 0);
  const seen = minutes.filter(minute => minute.recorded);
  const measured = seen.length > 0 && seen.every(minute => minute.planeWm2 !== null);
  let clearSkyWh = 0;
  let reference = 0; // W·min/m²
  let heldBack = 0;
  for (const [i, minute] of minutes.entries()) {
    const at = startMs + (i + 0.5) * MINUTE_MS;
    const sky = skyAt(at);
    const carried = carriedTo(at);
    let planeWm2 = 0;
    for (const group of panels) {
      const light = onPlane(sky, carried ?? group.plane);
      clearSkyWh += panelPowerW(light, UNKNOWN_AIR, group) / 60;
      planeWm2 += (totalWm2(light) * group.peakW) / ratedW;
    }
    if (!minute.recorded) continue;
    const given = measured ? minute.planeWm2! : planeWm2;
    reference += given;
    if (minute.heldBack) heldBack += given;
  }
  const hours = (sum: number) => referenceYieldH(sum / 60 / 1000);
  return { clearSkyWh, referenceH: hours(reference), heldBackH: hours(heldBack), measured };
}
