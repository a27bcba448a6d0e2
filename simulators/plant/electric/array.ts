/**
 * Folding panels on their stands, wired into strings: light on each row of cells, the cells' warmth, and the diodes that
 * the tracker then pulls on. A row carries what its most shaded cell allows; rows under the same light are one group.
 */
import { laggedC, type Mounting, settledCellC } from '../light/cell-temperature.ts';
import { type Normal, normalOf, onPlane, type PlaneLight, throughGlass } from '../light/plane.ts';
import type { Shade, Spot } from '../light/shade.ts';
import type { Sky } from '../light/sky.ts';
import { type DiodeFacts, darkDiode, partOf, translate } from './diode.ts';
import type { Rows, SeriesString } from './string.ts';

export interface PanelFacts {
  readonly name: string;
  readonly ratedW: number;
  /** 0 flat. */
  readonly tiltDeg: number;
  /** Clockwise from true north. */
  readonly azimuthDeg: number;
  /** The whole panel, at 1000 W/m² and 25 °C. */
  readonly diode: DiodeFacts;
  /** Rows of cells side by side, each with a bypass diode of this drop, V. */
  readonly rows: number;
  readonly bypassV: number;
  /** Where its middle stands along the row of panels, to the right as seen from behind, m. */
  readonly alongM: number;
  readonly widthM: number;
  readonly mounting: Mounting;
}

export interface ArrayFacts {
  readonly panels: readonly PanelFacts[];
  /** Names of panels in series; strings side by side. */
  readonly strings: readonly (readonly string[])[];
}

const ALBEDO = 0.18;
/** Of sky and ground light some is lost at the glass as well (Martin and Ruiz at 30°, rounded). */
const DIFFUSE_GLASS = 0.95;
/** Dust and a spectrum that is not the label's: own judgement. */
const CLEAN_SHARE = 0.97;
/** Below this light a panel gives nothing worth counting, W/m². */
const DARK_WM2 = 0.5;
/** Rows this alike are one group. */
const ALIKE_SHARE = 0.004;
const ALIKE_K = 0.8;

interface Cells {
  /** Both ends and the middle of a row of cells. */
  readonly spots: readonly Spot[];
  open: number;
}

function rowsOf(facts: PanelFacts, azimuthDeg: number): Cells[] {
  // The row of panels runs along the right-hand side of where they face.
  const right = normalOf(90, azimuthDeg + 90);
  const spotAt = (metres: number): Spot => ({ eastM: metres * right.east, northM: metres * right.north });
  const each = facts.widthM / facts.rows;
  return Array.from({ length: facts.rows }, (_, k) => {
    const from = facts.alongM - facts.widthM / 2 + k * each;
    return { spots: [0.02, each / 2, each - 0.02].map(m => spotAt(from + m)), open: 1 };
  });
}

function createPanel(facts: PanelFacts) {
  return {
    facts,
    rows: rowsOf(facts, facts.azimuthDeg),
    row: partOf(facts.diode, 1 / facts.rows),
    cellTempC: Number.NaN,
    planeWm2: 0,
  };
}

type Panel = ReturnType<typeof createPanel>;

type PanelPlane = Pick<PanelFacts, 'tiltDeg' | 'azimuthDeg'>;

/** Planes of the panels, each once. */
function planesOf(panels: readonly PanelPlane[]) {
  const planes: { key: string; normal: Normal; light: PlaneLight }[] = [];
  const index = panels.map(({ tiltDeg, azimuthDeg }) => {
    const key = `${tiltDeg} ${azimuthDeg}`;
    const at = planes.findIndex(plane => plane.key === key);
    if (at >= 0) return at;
    const light = { cosine: 0, beamWm2: 0, skyWm2: 0, groundWm2: 0 };
    return planes.push({ key, normal: normalOf(tiltDeg, azimuthDeg), light }) - 1;
  });
  return { planes, index };
}

/** A string's groups of rows, refilled each step; as many places as it has rows. */
function createGroups(panels: readonly Panel[]) {
  const places: (Rows & { facts: DiodeFacts | null; wm2: number; tempC: number })[] = panels.flatMap(panel =>
    panel.rows.map(() => ({
      diode: darkDiode(),
      count: 0,
      bypassV: panel.facts.bypassV,
      facts: null,
      wm2: 0,
      tempC: 0,
    })),
  );
  let used = 0;
  return {
    string: places as SeriesString,
    clear() {
      for (let k = 0; k < used; k++) places[k]!.count = 0;
      used = 0;
    },
    add(facts: DiodeFacts, wm2: number, tempC: number) {
      for (let k = 0; k < used; k++) {
        const place = places[k]!;
        if (place.facts !== facts && place.facts?.lightA !== facts.lightA) continue;
        if (Math.abs(place.wm2 - wm2) > ALIKE_SHARE * wm2 || Math.abs(place.tempC - tempC) > ALIKE_K) continue;
        place.count++;
        return;
      }
      const place = places[used++]!;
      place.facts = facts;
      place.wm2 = wm2;
      place.tempC = tempC;
      place.count = 1;
      translate(facts, wm2, tempC, place.diode);
    },
  };
}

/** The panels of one port. Call `step` in order of time; then `strings` are what the tracker sees. */
export function createArray(facts: ArrayFacts, firstShade: Shade) {
  const panels = facts.panels.map(createPanel);
  let shade = firstShade;
  let { planes, index } = planesOf(facts.panels);
  /** Share of the beam that whoever carries them lets through. */
  let passing = 1;
  const wired = facts.strings.map(names => {
    const chosen = names.map(name => panels.find(panel => panel.facts.name === name)!);
    return { chosen, groups: createGroups(chosen) };
  });
  let shaded = false;

  const openRows = (sky: Sky, ms: number): void => {
    const over = shade.overSkyline(sky.sun) * passing;
    const near = sky.beamWm2 > 0 && shade.mayBeNear(sky.sun);
    shaded = false;
    for (const panel of panels) {
      for (const cells of panel.rows) {
        cells.open = over;
        if (!near) continue;
        let open = 1;
        for (const spot of cells.spots) open = Math.min(open, shade.atSpot(sky.sun, spot, ms));
        cells.open = over * open;
        if (open < 1) shaded = true;
      }
    }
  };

  const warm = (panel: Panel, light: PlaneLight, sky: Sky, dtS: number): void => {
    const open = panel.rows.reduce((sum, cells) => sum + cells.open, 0) / panel.rows.length;
    panel.planeWm2 = light.beamWm2 * open + light.skyWm2 * shade.domeShare + light.groundWm2;
    const toward = settledCellC(panel.facts.mounting, panel.planeWm2, sky.airTempC, sky.windMs);
    panel.cellTempC = Number.isNaN(panel.cellTempC) ? toward : laggedC(panel.cellTempC, toward, dtS);
  };

  return {
    strings: wired.map(({ groups }) => groups.string),
    /** Whether a near thing's shadow lies on some of the rows now. */
    shaded: () => shaded,
    panels: panels as readonly { readonly planeWm2: number; readonly cellTempC: number }[],
    /** All panels stand like this from now on, behind these things, with a share of the beam kept off them. */
    stand(plane: PanelPlane, behind: Shade, passingShare: number): void {
      ({ planes, index } = planesOf(panels.map(() => plane)));
      for (const panel of panels) panel.rows = rowsOf(panel.facts, plane.azimuthDeg);
      shade = behind;
      passing = passingShare;
    },
    step(sky: Sky, ms: number, dtS: number): void {
      for (const { groups } of wired) groups.clear();
      const dark = sky.globalWm2 < DARK_WM2;
      for (const { normal, light } of planes) onPlane(sky, normal, ALBEDO, light);
      if (!dark) openRows(sky, ms);
      for (let k = 0; k < panels.length; k++) warm(panels[k]!, planes[index[k]!]!.light, sky, dtS);
      if (dark) return;
      for (const { chosen, groups } of wired) {
        for (const panel of chosen) {
          const light = planes[index[panels.indexOf(panel)]!]!.light;
          const even = (light.skyWm2 * shade.domeShare + light.groundWm2) * DIFFUSE_GLASS;
          const beam = light.beamWm2 * throughGlass(light.cosine);
          for (const cells of panel.rows)
            groups.add(panel.row, Math.max(DARK_WM2, (even + beam * cells.open) * CLEAN_SHARE), panel.cellTempC);
        }
      }
    },
  };
}

export type PanelArray = ReturnType<typeof createArray>;
