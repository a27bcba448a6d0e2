/**
 * What a cloudless sky would give panels on one day, minute by minute: their watts and the light on their planes. The sky is worked out every fifth minute and taken as straight between:
 * against every minute this moves a day's energy by less than 0.1 % (held by a test from the equator to 68°).
 */
import type { Plane } from '../laws/incidence.ts';
import { totalWm2 } from '../laws/plane-of-array.ts';
import { onPlane, type Panels, panelPowerW, UNKNOWN_AIR } from '../panel-power.ts';
import { type ClearSky, clearSkyOver, type SkyPlace } from '../sky.ts';

export const MINUTE_MS = 60_000;
/** Minutes from one worked-out sky to the next. */
export const NODE_MIN = 5;

/** Equal panels that stand on one plane. */
export interface StandingPanels extends Panels {
  plane: Plane;
}

/** Columns of equal length, one row a minute from the day's first instant; means of each minute. */
export interface ClearDay {
  /** Watts of all panels. */
  readonly powerW: Float64Array;
  /** Light on the planes, each weighing as much as its panels' rating, W/m². */
  readonly planeWm2: Float64Array;
  /** Where the sun stands at every fifth minute from the first instant on, as seen; roughly where it is down. */
  readonly sunAzimuthDeg: Float64Array;
  readonly sunElevationDeg: Float64Array;
}

interface Node {
  powerW: number;
  planeWm2: number;
}

/**
 * @param startMs first instant of the civil day, UTC epoch ms
 * @param minutes how many it has
 * @param panels at least one of them
 * @param carriedTo how all panels stood at an instant where they had been carried; null: each on its own plane
 */
export function clearDay(
  startMs: number,
  minutes: number,
  place: SkyPlace,
  panels: readonly StandingPanels[],
  carriedTo: (atMs: number) => Plane | null = () => null,
): ClearDay {
  const skyAt = clearSkyOver(place);
  const ratedW = panels.reduce((sum, p) => sum + p.peakW, 0);
  const nodes = Math.ceil(minutes / NODE_MIN) + 1;
  const sunAzimuthDeg = new Float64Array(nodes);
  const sunElevationDeg = new Float64Array(nodes);
  const at = { powerW: new Float64Array(nodes), planeWm2: new Float64Array(nodes) };
  for (let i = 0; i < nodes; i++) {
    const ms = startMs + i * NODE_MIN * MINUTE_MS;
    const sky = skyAt(ms);
    sunAzimuthDeg[i] = sky.sun.azimuthDeg;
    sunElevationDeg[i] = sky.sun.apparentElevationDeg;
    if (sky.ghiWm2 <= 0) {
      const dark = darkNodes(sky.sun.apparentElevationDeg);
      sunElevationDeg.fill(sky.sun.apparentElevationDeg, i, i + 1 + dark);
      i += dark;
      continue;
    }
    const node = nodeOf(sky, panels, carriedTo(ms), ratedW);
    at.powerW[i] = node.powerW;
    at.planeWm2[i] = node.planeWm2;
  }
  return {
    powerW: between(at.powerW, minutes),
    planeWm2: between(at.planeWm2, minutes),
    sunAzimuthDeg,
    sunElevationDeg,
  };
}

/** The sun moves by 15° an hour at most: so many nodes after a dark one it has not risen either. */
const darkNodes = (elevationDeg: number): number =>
  Math.max(0, Math.floor((-1 - elevationDeg) / ((15 * NODE_MIN) / 60)) - 1);

function nodeOf(sky: ClearSky, panels: readonly StandingPanels[], carried: Plane | null, ratedW: number): Node {
  const node = { powerW: 0, planeWm2: 0 };
  for (const group of panels) {
    const light = onPlane(sky, carried ?? group.plane);
    node.powerW += panelPowerW(light, UNKNOWN_AIR, group);
    node.planeWm2 += (totalWm2(light) * group.peakW) / ratedW;
  }
  return node;
}

/** The middle of each minute, straight from node to node. */
function between(at: Float64Array, minutes: number): Float64Array {
  const values = new Float64Array(minutes);
  for (let m = 0; m < minutes; m++) {
    const i = Math.floor(m / NODE_MIN);
    const share = (m - i * NODE_MIN + 0.5) / NODE_MIN;
    values[m] = at[i]! + share * (at[i + 1]! - at[i]!);
  }
  return values;
}

/** Energy of a column of watts by the minute, Wh. */
export function energyWh(powerW: Float64Array): number {
  let sum = 0;
  for (const w of powerW) sum += w;
  return sum / 60;
}
