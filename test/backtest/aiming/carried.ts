/**
 * Folding panels that are carried about, put together from the plant's own parts: the light of a plane that may change,
 * rows of cells under shade, cells that warm with a lag, diodes, and the tracker that hunts and settles anew. Much richer
 * than what the judge assumes: other laws for sky, plane, warmth and module.
 */
import { PANEL_DIODE } from '../../../simulators/honey-shed.ts';
import { darkDiode, partOf, translate } from '../../../simulators/plant/electric/diode.ts';
import { globalMaximum, type SeriesString } from '../../../simulators/plant/electric/string.ts';
import { createTracker } from '../../../simulators/plant/electric/tracker.ts';
import { FOLDING, laggedC, settledCellC } from '../../../simulators/plant/light/cell-temperature.ts';
import { normalOf, onPlane, throughGlass } from '../../../simulators/plant/light/plane.ts';
import type { Sky } from '../../../simulators/plant/light/sky.ts';

export const CARRIED_RATED_W = 270;
/** Panels in series, rows of cells a panel. */
const PANELS = 3;
const ROWS = 2;
export const CELL_ROWS = PANELS * ROWS;
const ALBEDO = 0.18;
const DIFFUSE_GLASS = 0.95;
const CLEAN_SHARE = 0.97;
const BYPASS_V = 0.5;
const PORT = { name: 'Solar port', maxW: 400, maxA: 9, minV: 16, maxV: 82 };
const ROW_DIODE = partOf(PANEL_DIODE, 1 / ROWS);

/** How panels stand. */
export interface Stand {
  readonly tiltDeg: number;
  readonly azimuthDeg: number;
  /** Share of the beam that reaches each row of cells. */
  readonly open: readonly number[];
  /** Share of the sky's dome that is not hidden. */
  readonly domeShare: number;
}

interface Lit {
  /** Mean on the panels, which warms them. */
  readonly planeWm2: number;
  readonly rowsWm2: readonly number[];
}

const light = { cosine: 0, beamWm2: 0, skyWm2: 0, groundWm2: 0 };

function lit(sky: Sky, stand: Stand): Lit {
  onPlane(sky, normalOf(stand.tiltDeg, stand.azimuthDeg), ALBEDO, light);
  const sky_ = light.skyWm2 * stand.domeShare;
  const even = (sky_ + light.groundWm2) * DIFFUSE_GLASS;
  const beam = light.beamWm2 * throughGlass(light.cosine);
  const open = stand.open.reduce((sum, o) => sum + o, 0) / stand.open.length;
  return {
    planeWm2: light.beamWm2 * open + sky_ + light.groundWm2,
    rowsWm2: stand.open.map(o => Math.max(0.5, (even + beam * o) * CLEAN_SHARE)),
  };
}

/** Rows under equal light are one group, refilled. */
function createString() {
  const groups = Array.from({ length: CELL_ROWS }, () => ({ diode: darkDiode(), count: 0, bypassV: BYPASS_V, wm2: 0 }));
  return {
    string: groups as SeriesString,
    fill({ rowsWm2 }: Lit, cellTempC: number): void {
      for (const group of groups) group.count = 0;
      let used = 0;
      for (const wm2 of rowsWm2) {
        const same = groups.slice(0, used).find(g => Math.abs(g.wm2 - wm2) < 0.004 * wm2);
        if (same !== undefined) {
          same.count++;
          continue;
        }
        const group = groups[used++]!;
        group.wm2 = wm2;
        group.count = 1;
        translate(ROW_DIODE, wm2, cellTempC, group.diode);
      }
    },
  };
}

/** Panels with their tracker; `step` in order of time. */
export function createCarried() {
  const tracker = createTracker(PORT);
  const { string, fill } = createString();
  let cellTempC = Number.NaN;
  return {
    /** Cells as warm as they get standing so. */
    warmUp(sky: Sky, stand: Stand): void {
      cellTempC = settledCellC(FOLDING, lit(sky, stand).planeWm2, sky.airTempC, sky.windMs);
    },
    tempC: () => cellTempC,
    /** @returns mean power of the step, W */
    step(sky: Sky, stand: Stand, ms: number, dtS: number): number {
      const now = lit(sky, stand);
      const toward = settledCellC(FOLDING, now.planeWm2, sky.airTempC, sky.windMs);
      cellTempC = Number.isNaN(cellTempC) ? sky.airTempC : laggedC(cellTempC, toward, dtS);
      fill(now, cellTempC);
      return tracker.step([string], PORT.maxW, ms, dtS).powerW;
    },
  };
}

/** What a stand gives under a sky once cells are warm and the tracker stands on the best point: the truth. W. */
export function settledW(sky: Sky, stand: Stand): number {
  const { string, fill } = createString();
  const now = lit(sky, stand);
  fill(now, settledCellC(FOLDING, now.planeWm2, sky.airTempC, sky.windMs));
  return globalMaximum([string]).powerW;
}
